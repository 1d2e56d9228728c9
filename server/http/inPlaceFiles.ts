import { readdir, stat, writeFile } from "node:fs/promises";
import { extname, join } from "node:path";
import { DATA_SUFFIX, META_SUFFIX } from "../recordings/openSigmf.ts";

/** A file in the folder in-place that may be a recording. */
export interface InPlaceFile {
  /** Below the folder, with slashes; of the two files of a SigMF recording its metadata. */
  readonly path: string;
  readonly bytes: number;
  readonly asks: "nothing" | "carrier" | "type and rate";
  /** The file that holds the samples. */
  readonly dataPath: string;
  readonly dataBytes: number;
  readonly dataChangedMs: number;
}

const WAVES = new Set([".wav", ".wave", ".rf64", ".bw64"]);
/** What people leave beside recordings. */
const NOT_SAMPLES = new Set([".md", ".txt", ".json", ".ndjson", ".csv", ".pdf", ".png", ".jpg", ".zip", ".gz"]);
const MOST_FOLDERS_DEEP = 3;
const MOST_FILES = 2000;

/** All recordings in the folder and in those in it, by name. What begins with a dot is passed over. */
export async function inPlaceFiles(dir: string): Promise<readonly InPlaceFile[]> {
  const found: Found[] = [];
  await walk(dir, "", 0, found);
  const byPath = new Map(found.map((file) => [file.path, file]));
  return found.flatMap((file) => inPlaceFile(file, byPath)).sort((a, b) => (a.path < b.path ? -1 : 1));
}

interface Found {
  readonly path: string;
  readonly bytes: number;
  readonly changedMs: number;
}

async function walk(dir: string, below: string, deep: number, found: Found[]): Promise<void> {
  for (const name of await readdir(join(dir, below)).catch(() => [])) {
    if (name.startsWith(".") || found.length >= MOST_FILES) continue;
    const path = below === "" ? name : `${below}/${name}`;
    // A link to a file on another disk is as good as the file.
    const info = await stat(join(dir, path)).catch(() => undefined);
    if (info?.isFile()) found.push({ path, bytes: info.size, changedMs: info.mtimeMs });
    else if (info?.isDirectory() && deep < MOST_FOLDERS_DEEP) await walk(dir, path, deep + 1, found);
  }
}

function inPlaceFile(file: Found, byPath: ReadonlyMap<string, Found>): InPlaceFile[] {
  const ending = extname(file.path).toLowerCase();
  if (NOT_SAMPLES.has(ending) || file.bytes === 0) return [];
  const own = { dataPath: file.path, dataBytes: file.bytes, dataChangedMs: file.changedMs };
  const { path, bytes } = file;
  if (ending === META_SUFFIX) {
    const data = byPath.get(path.slice(0, -META_SUFFIX.length) + DATA_SUFFIX);
    if (!data) return [{ path, bytes, asks: "nothing", ...own }]; // opening it says what is missing
    const its = { dataPath: data.path, dataBytes: data.bytes, dataChangedMs: data.changedMs };
    return [{ path, bytes: data.bytes, asks: "nothing", ...its }];
  }
  if (ending === DATA_SUFFIX && byPath.has(path.slice(0, -DATA_SUFFIX.length) + META_SUFFIX)) return [];
  return [{ path, bytes, asks: asksOf(path), ...own }];
}

/** What has to be told of a recording of one file, by its name. */
export function asksOf(path: string): InPlaceFile["asks"] {
  const ending = extname(path).toLowerCase();
  if (ending === ".sigmf" || ending === META_SUFFIX) return "nothing";
  return WAVES.has(ending) ? "carrier" : "type and rate";
}

/** Says in the folder itself what it is for. */
export async function explainInPlace(dir: string): Promise<void> {
  await writeFile(join(dir, "README.md"), EXPLANATION, { flag: "wx" }).catch((error: unknown) => {
    if (!(error instanceof Error && "code" in error && error.code === "EEXIST")) throw error;
  });
}

const EXPLANATION = `# Recordings that are read where they lie

Put large recordings into this folder, or links to them. The page "Recordings" then lists them, and one press opens
each. Nothing is copied and nothing in here is ever changed or deleted by Wheelgram.

What can be here: SigMF (both files, or an archive), WAVE with I and Q, and raw samples. Raw samples do not say how they
were made, so the page asks.

A file has to stay where it is, as it is, for as long as its recording is used. When you move it or change it, the page
says so and what to do.
`;
