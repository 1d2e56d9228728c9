import { createHash } from "node:crypto";
import { type FileHandle, mkdir, open } from "node:fs/promises";
import { dirname, join } from "node:path";

/** What the manifest says of a file. */
export interface WrittenFile {
  readonly name: string;
  readonly bytes: number;
  readonly sha256: string;
}

/** A file that is being written, and hashed as it goes. */
export interface ResultFile {
  readonly write: (part: string | Uint8Array) => Promise<void>;
  /** Once this is done the file is on the disk, and known to the folder. */
  readonly close: () => Promise<void>;
}

/** The folder that results go into, and what was written there. */
export interface ResultFolder {
  /** Begins a file. @throws what the file system throws: EEXIST for one that is there already. */
  readonly open: (name: string) => Promise<ResultFile>;
  /** Writes a file of which all is at hand. */
  readonly write: (name: string, content: string | Uint8Array) => Promise<void>;
  /** Every file that was closed, by name. */
  readonly files: () => WrittenFile[];
  /** Lets go of files that are still open, however far they are. */
  readonly abandon: () => Promise<void>;
}

/** Makes the folder where it is not there. */
export async function makeResultFolder(folder: string): Promise<ResultFolder> {
  await mkdir(folder, { recursive: true });
  const written: WrittenFile[] = [];
  const opened = new Set<FileHandle>();

  const openFile = async (name: string): Promise<ResultFile> => {
    await mkdir(dirname(join(folder, name)), { recursive: true });
    const handle = await open(join(folder, name), "wx");
    opened.add(handle);
    const hash = createHash("sha256");
    let bytes = 0;
    return {
      async write(part) {
        const data = typeof part === "string" ? Buffer.from(part) : part;
        hash.update(data);
        bytes += data.length;
        await handle.writeFile(data); // writes all of it where the file stands, which `write` alone need not
      },
      async close() {
        await handle.sync();
        await handle.close();
        opened.delete(handle);
        written.push({ name, bytes, sha256: hash.digest("hex") });
      },
    };
  };

  return {
    open: openFile,
    async write(name, content) {
      const file = await openFile(name);
      await file.write(content);
      await file.close();
    },
    files: () => written.toSorted((a, b) => (a.name < b.name ? -1 : 1)),
    async abandon() {
      for (const handle of opened) await handle.close();
      opened.clear();
    },
  };
}
