import { inflateSync } from "node:zlib";

export interface PdfPage {
  /** In points. */
  readonly width: number;
  readonly height: number;
  /** What can be selected on it, in the order in which it was drawn, without spaces. */
  readonly text: string;
  /** Where each run of letters begins, in points from the left and the top. */
  readonly at: readonly { readonly x: number; readonly y: number }[];
  /** Colours that were set, as red, green and blue from 0 to 1. */
  readonly colours: readonly (readonly number[])[];
  readonly images: number;
}

type Dictionary = ReadonlyMap<number, { readonly head: string; readonly stream: Buffer | undefined }>;

/**
 * The pages of a PDF as Chromium or pdfkit writes it: plain objects, streams deflated, letters as glyph numbers of two
 * bytes with a table of what they mean.
 *
 * @source ISO 32000-1, 7.3 (objects), 8.4.4, 8.6.8 (operators), 9.10.3 (ToUnicode).
 * @throws Error if there is no page, or one without a size.
 */
export function pdfPages(bytes: Buffer): PdfPage[] {
  const objects = objectsOf(bytes);
  const pages = [...objects.values()].filter(({ head }) => /\/Type\s*\/Page\b/.test(head));
  if (pages.length === 0) throw new Error("the PDF has no page");
  return pages.map(({ head }) => pageOf(head, objects));
}

function objectsOf(bytes: Buffer): Dictionary {
  const file = bytes.toString("latin1");
  const found = new Map<number, { head: string; stream: Buffer | undefined }>();
  for (const { 0: begin, 1: id, index } of file.matchAll(/(?<=[\r\n]|^)(\d+) 0 obj\b/g)) {
    const from = index + begin.length;
    const end = file.indexOf("endobj", from);
    const at = /\bstream\r?\n/.exec(file.slice(from, end));
    const head = file.slice(from, at ? from + at.index : end);
    const start = from + (at ? at.index + at[0].length : 0);
    const length = Number(/\/Length (\d+)/.exec(head)?.[1]);
    const raw = at ? bytes.subarray(start, start + length) : undefined;
    found.set(Number(id), { head, stream: raw && (head.includes("/FlateDecode") ? inflateSync(raw) : raw) });
  }
  return found;
}

function pageOf(head: string, objects: Dictionary): PdfPage {
  const box = /\/MediaBox\s*\[([^\]]*)\]/.exec(head)?.[1]?.trim().split(/\s+/).map(Number);
  if (box?.length !== 4) throw new Error(`a page has no size: ${head}`);
  const [left = 0, bottom = 0, right = 0, top = 0] = box;
  const content = idsAfter("Contents", head).map((id) => objects.get(id)?.stream?.toString("latin1") ?? "");
  return { width: right - left, height: top - bottom, ...drawn(content.join("\n"), head, objects, top - bottom) };
}

/** Numbers of the objects that stand behind a key, be it one or a list. */
function idsAfter(key: string, head: string): number[] {
  const part = new RegExp(`/${key}\\s*(\\[[^\\]]*\\]|\\d+ 0 R)`).exec(head)?.[1] ?? "";
  return [...part.matchAll(/(\d+) 0 R/g)].map(([, id]) => Number(id));
}

/** Follows the operators that place text and set colours. */
function drawn(content: string, head: string, objects: Dictionary, height: number) {
  const fonts = new Map<string, ReadonlyMap<number, string>>();
  const matrices: number[][] = [];
  let matrix = [1, 0, 0, 1, 0, 0];
  let textMatrix = [1, 0, 0, 1, 0, 0];
  let letters: ReadonlyMap<number, string> | undefined;
  let text = "";
  const at: { x: number; y: number }[] = [];
  const colours: number[][] = [];
  let images = 0;
  let operands: string[] = [];
  const numbers = () => operands.filter((word) => /^[-+.\d]+$/.test(word)).map(Number);
  const show = (hexes: string) => {
    if (letters === undefined) throw new Error("letters without a font");
    const [, , , , x = 0, y = 0] = times(textMatrix, matrix);
    at.push({ x, y: height - y });
    for (const [, code = ""] of hexes.matchAll(/([0-9A-Fa-f]{4})/g))
      text += letters.get(Number.parseInt(code, 16)) ?? "\ufffd";
  };
  for (const [word] of content.matchAll(/\[[^\]]*\]|<[^>]*>|\((?:\\.|[^()\\])*\)|[^\s[\]<>()]+/g)) {
    if (!/^[A-Za-z'"*]+\d?$/.test(word)) {
      operands.push(word);
      continue;
    }
    if (word === "q") matrices.push(matrix);
    else if (word === "Q") matrix = matrices.pop() ?? matrix;
    else if (word === "cm") matrix = times(numbers(), matrix);
    else if (word === "BT") textMatrix = [1, 0, 0, 1, 0, 0];
    else if (word === "Tm") textMatrix = numbers();
    else if (word === "Td") textMatrix = times([1, 0, 0, 1, ...numbers()], textMatrix);
    else if (word === "Tf") letters = fontOf(operands[0]?.slice(1) ?? "", head, objects, fonts);
    else if (word === "Tj" || word === "TJ")
      show([...(operands.at(-1) ?? "").matchAll(/<([^>]*)>/g)].map(([, hexes]) => hexes).join(""));
    else if (word === "rg" || word === "RG") colours.push(numbers());
    else if ((word === "scn" || word === "SCN") && numbers().length === 3) colours.push(numbers());
    else if (word === "g" || word === "G") colours.push([...numbers(), ...numbers(), ...numbers()]);
    else if (word === "Do") images += 1;
    operands = [];
  }
  return { text: text.replace(/\s/g, ""), at, colours, images };
}

function times(a: readonly number[], b: readonly number[]): number[] {
  const [a0 = 0, a1 = 0, a2 = 0, a3 = 0, a4 = 0, a5 = 0] = a;
  const [b0 = 0, b1 = 0, b2 = 0, b3 = 0, b4 = 0, b5 = 0] = b;
  return [
    a0 * b0 + a1 * b2,
    a0 * b1 + a1 * b3,
    a2 * b0 + a3 * b2,
    a2 * b1 + a3 * b3,
    a4 * b0 + a5 * b2 + b4,
    a4 * b1 + a5 * b3 + b5,
  ];
}

/** What each glyph number of a font means. */
function fontOf(name: string, head: string, objects: Dictionary, known: Map<string, ReadonlyMap<number, string>>) {
  const before = known.get(name);
  if (before) return before;
  const [resources] = idsAfter("Resources", head);
  const where = resources === undefined ? head : (objects.get(resources)?.head ?? "");
  const [font = 0] = idsAfter(name, where);
  const [table = 0] = idsAfter("ToUnicode", objects.get(font)?.head ?? "");
  const meanings = meaningsOf(objects.get(table)?.stream?.toString("latin1") ?? "");
  known.set(name, meanings);
  return meanings;
}

function meaningsOf(table: string): ReadonlyMap<number, string> {
  const found = new Map<number, string>();
  const letter = (hexes: string) => Buffer.from(hexes, "hex").swap16().toString("utf16le");
  for (const [, part = ""] of table.matchAll(/beginbfchar([\s\S]*?)endbfchar/g)) {
    for (const [, code = "", to = ""] of part.matchAll(/<(\w+)>\s*<(\w+)>/g))
      found.set(Number.parseInt(code, 16), letter(to));
  }
  for (const [, part = ""] of table.matchAll(/beginbfrange([\s\S]*?)endbfrange/g)) {
    for (const [, from = "", list = ""] of part.matchAll(/<(\w+)>\s*<\w+>\s*\[([^\]]*)\]/g)) {
      for (const [i, [, to = ""]] of [...list.matchAll(/<(\w+)>/g)].entries())
        found.set(Number.parseInt(from, 16) + i, letter(to));
    }
    for (const [, from = "", to = "", first = ""] of part
      .replace(/\[[^\]]*\]/g, "")
      .matchAll(/<(\w+)>\s*<(\w+)>\s*<(\w+)>/g)) {
      const start = Number.parseInt(from, 16);
      for (let code = start; code <= Number.parseInt(to, 16); code++) {
        found.set(code, String.fromCodePoint((letter(first).codePointAt(0) ?? 0) + code - start));
      }
    }
  }
  return found;
}
