import { appendFile, open, readFile, rm, stat } from "node:fs/promises";
import { basename } from "node:path";
import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { fileError, firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { studyFiles, writeWhole } from "./folder.ts";
import { RegisteredInput } from "./input.ts";
import { layoutHash } from "./layoutHash.ts";
import { parseFrozen, type StudySettings } from "./settings.ts";
import { StudySource } from "./source.ts";

/** What a study holds to from its first moment on. */
export interface Frozen {
  readonly settings: StudySettings;
  readonly layouts: readonly Layout[];
  /** What was given to be walked, absolute. */
  readonly sources: readonly StudySource[];
}

/** Writes it down; the settings last, so that they are the sign that all of it is there. */
export async function writeFrozen(folder: string, { settings, layouts, sources }: Frozen): Promise<void> {
  const files = studyFiles(folder);
  await writeWhole(files.sources, [pretty(sources)]);
  await writeWhole(files.layouts, [pretty(layouts)]);
  await writeWhole(files.settings, [pretty(settings)]);
}

/** What a study's folder says of it, or why it is none. */
export async function readFrozen(folder: string): Promise<Result<Frozen, InputError>> {
  const files = studyFiles(folder);
  const settings = await readBytes(files.settings, folder);
  if (!settings.ok) return settings;
  const parsed = parseFrozen(files.settings, settings.value);
  if (!parsed.ok) return parsed;
  const layouts: Layout[] = [];
  const list = await readList(files.layouts, folder);
  if (!list.ok) return list;
  for (const [i, value] of list.value.entries()) {
    const layout = parseLayout(value);
    if (!layout.ok) return fail(firstComplaint(`${files.layouts}[${i}]`, layout.complaints));
    layouts.push(layout.layout);
  }
  for (const [i, frozen] of parsed.value.layouts.entries()) {
    const layout = layouts[i];
    const found = layout && layout.id === frozen.id ? layoutHash(layout) : "another layout";
    if (found === frozen.sha256) continue;
    const allowed = `${frozen.sha256}, as the settings say: layouts of a study do not change`;
    return fail(new InputError(files.layouts, `[${i}]`, found, allowed));
  }
  const sources = await readList(files.sources, folder);
  if (!sources.ok) return sources;
  const given = z.array(StudySource).safeParse(sources.value);
  if (!given.success) return fail(firstComplaint(files.sources, complaintsOf(given.error, sources.value)));
  return succeed({ settings: parsed.value, layouts, sources: given.data });
}

/** The inputs as they were registered; `undefined` where that never came to its end. */
export async function readInputs(folder: string): Promise<Result<RegisteredInput[] | undefined, InputError>> {
  const { inputs } = studyFiles(folder);
  const isThere = await stat(inputs).then(
    () => true,
    () => false,
  );
  if (!isThere) return succeed(undefined);
  const read: RegisteredInput[] = [];
  try {
    const lines = (await readFile(inputs, "utf8")).split("\n");
    for (const line of lines.slice(0, -1)) {
      const input = parseInput(line);
      if (input?.index !== read.length) {
        return fail(new InputError(inputs, `line ${read.length + 1}`, "something else", "an input of this study"));
      }
      read.push(input);
    }
  } catch (error) {
    return fail(fileError(inputs, error, "the inputs of a study"));
  }
  return succeed(read);
}

/** Keeps the inputs, and forgets what was noted on the way to them. */
export async function writeInputs(folder: string, inputs: readonly RegisteredInput[]): Promise<void> {
  const files = studyFiles(folder);
  await writeWhole(files.inputs, eachLine(inputs));
  await forgetParts(folder);
}

/** To be called as well where a kill came between the two. */
export async function forgetParts(folder: string): Promise<void> {
  await rm(studyFiles(folder).partInputs, { force: true });
}

/** Notes one that is registered, so that a kill costs only the rest. */
export async function notePart(folder: string, input: RegisteredInput): Promise<void> {
  await appendFile(studyFiles(folder).partInputs, `${JSON.stringify(input)}\n`);
}

/** What was noted, by path. A line that was cut by a kill is passed over. */
export async function readParts(folder: string): Promise<Map<string, RegisteredInput>> {
  const { partInputs } = studyFiles(folder);
  const known = new Map<string, RegisteredInput>();
  const handle = await open(partInputs, "a+").catch(() => undefined);
  if (!handle) return known;
  try {
    const text = await handle.readFile("utf8");
    for (const line of text.split("\n")) {
      const input = parseInput(line);
      if (input) known.set(input.path, input);
    }
    if (text !== "" && !text.endsWith("\n")) await handle.writeFile("\n"); // half a line must not take the next along
  } finally {
    await handle.close();
  }
  return known;
}

function parseInput(line: string): RegisteredInput | undefined {
  const json = readJson(Buffer.from(line));
  return json.ok ? RegisteredInput.safeParse(json.value).data : undefined;
}

function* eachLine(values: readonly unknown[]): Generator<string> {
  for (const value of values) yield `${JSON.stringify(value)}\n`;
}

async function readBytes(path: string, folder: string): Promise<Result<Uint8Array, InputError>> {
  try {
    return succeed(await readFile(path));
  } catch (error) {
    const isGone = error instanceof Error && "code" in error && (error.code === "ENOENT" || error.code === "ENOTDIR");
    if (!isGone) return fail(fileError(path, error, "a file of a study"));
    return fail(new InputError(folder, "folder", `no ${basename(path)} in it`, "the folder of a study"));
  }
}

async function readList(path: string, folder: string): Promise<Result<readonly unknown[], InputError>> {
  const bytes = await readBytes(path, folder);
  if (!bytes.ok) return bytes;
  const json = readJson(bytes.value);
  if (!json.ok) return fail(new InputError(path, `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  return Array.isArray(json.value)
    ? succeed(json.value)
    : fail(new InputError(path, "the whole", "something else", "a list"));
}

function pretty(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}
