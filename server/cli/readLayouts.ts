import { open, readdir, stat } from "node:fs/promises";
import { join } from "node:path";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Complaint } from "../../decoders/layouts/complaint.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { fileError, firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";

/** A layout file that was read, and whether it is a layout. */
export interface LayoutFile {
  readonly file: string;
  readonly parsed: Result<Layout, readonly Complaint[]>;
}

const MAX_LAYOUT_BYTES = 2 ** 20;

/** The layouts to work with: those of the house and those of `paths`, or with `only` the latter alone. */
export async function readLayouts(
  paths: readonly string[],
  only: boolean,
): Promise<Result<readonly Layout[], InputError>> {
  const files = await readLayoutFiles(paths);
  if (!files.ok) return files;
  const layouts = only ? [] : [...builtinLayouts];
  const fromFile = new Map(layouts.map((layout) => [layout.id, "the layouts that come with Wheelgram"]));
  for (const { file, parsed } of files.value) {
    if (!parsed.ok) return fail(firstComplaint(file, parsed.error));
    const layout = parsed.value;
    const taken = fromFile.get(layout.id);
    if (taken !== undefined) {
      const wayOut = only ? "" : "; --only-layouts leaves out those that come with Wheelgram";
      return fail(new InputError(file, "id", JSON.stringify(layout.id), `an id that is not in ${taken}${wayOut}`));
    }
    fromFile.set(layout.id, file);
    layouts.push(layout);
  }
  return succeed(layouts);
}

/** Each layout file among `paths`, folders opened. Fails only if a file cannot be read, not if it is no layout. */
export async function readLayoutFiles(paths: readonly string[]): Promise<Result<readonly LayoutFile[], InputError>> {
  const files: LayoutFile[] = [];
  for (const path of paths) {
    try {
      for (const file of await filesAt(path)) files.push({ file, parsed: await readLayoutFile(file) });
    } catch (error) {
      return fail(fileError(path, error, "a layout file or a folder of them"));
    }
  }
  return succeed(files);
}

/** The layout that the bytes of a file stand for, or every complaint about them. Never throws. */
export function parseLayoutBytes(bytes: Uint8Array): Result<Layout, readonly Complaint[]> {
  const json = readJson(bytes);
  if (!json.ok)
    return fail([{ path: `byte ${json.error.byte}`, found: json.error.found, allowed: json.error.allowed }]);
  const parsed = parseLayout(json.value);
  return parsed.ok ? succeed(parsed.layout) : fail(parsed.complaints);
}

async function filesAt(path: string): Promise<string[]> {
  if (!(await stat(path)).isDirectory()) return [path];
  const names = (await readdir(path)).filter((name) => name.endsWith(".json")).sort();
  if (names.length === 0) throw new InputError(path, "folder", "no .json file", "a folder of layout files");
  return names.map((name) => join(path, name));
}

async function readLayoutFile(path: string): Promise<Result<Layout, readonly Complaint[]>> {
  const handle = await open(path, "r").catch((error: unknown) => {
    throw fileError(path, error, "a layout file");
  });
  try {
    const { size } = await handle.stat();
    if (size > MAX_LAYOUT_BYTES) {
      throw new InputError(path, "byte 0", `${size} bytes`, `a layout of at most ${MAX_LAYOUT_BYTES} bytes`);
    }
    return parseLayoutBytes(await handle.readFile());
  } finally {
    await handle.close();
  }
}
