/** A PDF while it is written: objects by number, and what they hold. */
export interface PdfFile {
  /** Takes a number for an object that is written later. */
  readonly take: () => number;
  readonly write: (id: number, dictionary: string) => void;
  readonly writeStream: (id: number, dictionary: string, bytes: Uint8Array) => void;
  /** The whole file. */
  readonly bytes: (trailer: string) => Uint8Array<ArrayBuffer>;
}

/** @source ISO 32000-1, 7.3.8 (streams), 7.5 (file structure). */
export function pdfFile(): PdfFile {
  const objects = new Map<number, readonly Uint8Array[]>();
  let taken = 0;
  return {
    take: () => ++taken,
    write: (id, dictionary) => objects.set(id, [ascii(`${id} 0 obj\n${dictionary}\nendobj\n`)]),
    writeStream(id, dictionary, bytes) {
      const head = `${id} 0 obj\n<< ${dictionary} /Length ${bytes.length} >>\nstream\n`;
      objects.set(id, [ascii(head), bytes, ascii("\nendstream\nendobj\n")]);
    },
    bytes(trailer) {
      // Bytes beyond ASCII in the second line tell programs that this is no text.
      const parts = [ascii("%PDF-1.7\n%"), Uint8Array.of(0xe2, 0xe3, 0xcf, 0xd3, 0x0a)];
      let end = 9 + 1 + 5;
      const places: string[] = [];
      for (let id = 1; id <= taken; id++) {
        const object = objects.get(id);
        if (!object) throw new RangeError(`object ${id} was taken and never written`);
        places.push(`${String(end).padStart(10, "0")} 00000 n \n`);
        for (const part of object) {
          parts.push(part);
          end += part.length;
        }
      }
      const table = `xref\n0 ${taken + 1}\n0000000000 65535 f \n${places.join("")}`;
      parts.push(ascii(`${table}trailer\n<< /Size ${taken + 1} ${trailer} >>\nstartxref\n${end}\n%%EOF\n`));
      return joined(parts);
    },
  };
}

/** A text string that may hold any letter. @source ISO 32000-1, 7.9.2.2 (UTF-16BE with a byte order mark). */
export function pdfText(text: string): string {
  const units = Array.from({ length: text.length }, (_, i) => text.charCodeAt(i).toString(16).padStart(4, "0"));
  return `<FEFF${units.join("")}>`;
}

function ascii(text: string): Uint8Array {
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}

function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
