import { createHash } from "node:crypto";
import { open } from "node:fs/promises";
import { join } from "node:path";

/** A file that is being written, and hashed as it goes. */
export interface ResultFile {
  readonly name: string;
  write(part: string | Uint8Array): Promise<void>;
  close(): Promise<WrittenFile>;
}

/** What the manifest says of a file. */
export interface WrittenFile {
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** Begins a file in a folder. One that is there already is an error: results go into a fresh folder. */
export async function openResult(folder: string, name: string): Promise<ResultFile> {
  const handle = await open(join(folder, name), "wx");
  const hash = createHash("sha256");
  let bytes = 0;
  return {
    name,
    async write(part) {
      const data = typeof part === "string" ? Buffer.from(part) : part;
      hash.update(data);
      bytes += data.length;
      await handle.writeFile(data); // writes all of it where the file stands, which `write` alone need not
    },
    async close() {
      await handle.sync();
      await handle.close();
      return { name, bytes, sha256: hash.digest("hex") };
    },
  };
}

/** A file of which all is at hand. */
export async function writeResult(folder: string, name: string, content: string | Uint8Array): Promise<WrittenFile> {
  const file = await openResult(folder, name);
  await file.write(content);
  return file.close();
}
