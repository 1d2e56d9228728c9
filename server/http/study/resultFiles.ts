import { createHash } from "node:crypto";
import { createReadStream } from "node:fs";
import { readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import type { Writable } from "node:stream";
import { pipeline } from "node:stream/promises";
import { type Pack, pack } from "tar-stream";
import type { StudyResultFileBody } from "../wire/studies.ts";

const RESULTS = "results";
/** Beside the results, what they were made with. Never `inputs.ndjson`, which has paths of this machine. */
const FROZEN = ["settings.json", "layouts.json"];

/** The result files of a study by name, those in folders after the others; none before it has results. */
export async function resultFiles(folder: string): Promise<readonly StudyResultFileBody[]> {
  const files = await filesBelow(join(folder, RESULTS), "");
  return Promise.all(
    files.map(async (name) => {
      const path = resultPath(folder, name);
      return { name, bytes: (await stat(path)).size, sha256: await sha256Of(path) };
    }),
  );
}

/** Where a result file lies; the caller has found its name in `resultNames`. */
export function resultPath(folder: string, name: string): string {
  return join(folder, RESULTS, ...name.split("/"));
}

export function resultNames(folder: string): Promise<readonly string[]> {
  return filesBelow(join(folder, RESULTS), "");
}

/** The type that a result file is served as. */
export function typeOf(name: string): string {
  return TYPES.find(([ending]) => name.endsWith(ending))?.[1] ?? "application/octet-stream";
}

const TYPES = [
  [".csv", "text/csv; charset=utf-8"],
  [".jsonl", "application/x-ndjson; charset=utf-8"],
  [".json", "application/json; charset=utf-8"],
  [".svg", "image/svg+xml"],
  [".txt", "text/plain; charset=utf-8"],
] as const;

/** All types that a result file may have, bare. */
export const RESULT_TYPES = ["application/octet-stream", ...TYPES.map(([, type]) => type.split(";")[0] ?? type)];

/** All results and what they were made with as one tar file: the same bytes for the same results. */
export async function writeTar(folder: string, top: string, out: Writable): Promise<void> {
  const tar = pack();
  const filling = fill(tar, folder, top).catch((error: Error) => tar.destroy(error));
  await Promise.all([pipeline(tar, out), filling]);
}

async function fill(tar: Pack, folder: string, top: string): Promise<void> {
  const present = await readdir(folder);
  for (const name of FROZEN.filter((one) => present.includes(one)))
    await add(tar, join(folder, name), `${top}/${name}`);
  for (const name of await resultNames(folder)) await add(tar, resultPath(folder, name), `${top}/${RESULTS}/${name}`);
  tar.finalize();
}

async function add(tar: Pack, path: string, name: string): Promise<void> {
  const { size } = await stat(path);
  await new Promise<void>((resume, refuse) => {
    // No time of day and no owner: two of the same results are the same file.
    const entry = tar.entry({ name, size, mode: 0o644, mtime: new Date(0), uid: 0, gid: 0 }, (error) =>
      error ? refuse(error) : resume(),
    );
    pipeline(createReadStream(path), entry).catch(refuse);
  });
}

async function filesBelow(dir: string, below: string): Promise<readonly string[]> {
  const entries = await readdir(join(dir, below), { withFileTypes: true }).catch(() => []);
  const named = entries.filter(({ name }) => !name.startsWith(".")).sort((a, b) => (a.name < b.name ? -1 : 1));
  const nameOf = (name: string) => (below === "" ? name : `${below}/${name}`);
  const files = named.filter((entry) => entry.isFile()).map(({ name }) => nameOf(name));
  const deeper: string[] = [];
  for (const { name } of named.filter((entry) => entry.isDirectory()))
    deeper.push(...(await filesBelow(dir, nameOf(name))));
  return [...files, ...deeper];
}

async function sha256Of(path: string): Promise<string> {
  const hash = createHash("sha256");
  for await (const block of createReadStream(path)) hash.update(block);
  return hash.digest("hex");
}
