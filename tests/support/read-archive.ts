import { mkdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { buffer } from "node:stream/consumers";
import { extract } from "tar-stream";

export interface ReadArchive {
  readonly names: readonly string[];
  /** Where its one metadata file was put, with all else that it holds. */
  readonly metaPath: string;
  readonly metaText: string;
  // biome-ignore lint/suspicious/noExplicitAny: a test says what it expects of it
  readonly meta: any;
  readonly data: Buffer;
}

/** Unpacks a SigMF archive of one recording into a folder. */
export async function readArchive(bytes: Uint8Array, folder: string): Promise<ReadArchive> {
  const tar = extract();
  tar.end(Buffer.from(bytes));
  const files = new Map<string, Buffer>();
  for await (const entry of tar) {
    const content = await buffer(entry);
    files.set(entry.header.name, content);
    const path = join(folder, entry.header.name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, content);
  }
  const names = [...files.keys()];
  const of = (ending: string) => {
    const name = names.find((one) => one.endsWith(ending));
    const content = files.get(name ?? "");
    if (name === undefined || content === undefined) throw new Error(`no ${ending} in ${names.join(", ")}`);
    return { name, content };
  };
  const meta = of(".sigmf-meta");
  const metaText = meta.content.toString("utf8");
  return {
    names,
    metaPath: join(folder, meta.name),
    metaText,
    meta: JSON.parse(metaText),
    data: of(".sigmf-data").content,
  };
}
