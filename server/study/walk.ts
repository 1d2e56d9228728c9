import type { Stats } from "node:fs";
import { readdir, realpath, stat } from "node:fs/promises";
import { basename, dirname, extname, join, resolve } from "node:path";
import { fileError, InputError, printable } from "../recordings/inputError.ts";
import { DATA_SUFFIX, META_SUFFIX } from "../recordings/openSigmf.ts";
import type { RecordingHints } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { isLineFile } from "../work/openSource.ts";
import { COLLECTION_SUFFIX, readCollection } from "./collection.ts";
import { studyFiles } from "./folder.ts";
import { ownNames } from "./ownNames.ts";
import type { RawRule, StudySettings } from "./settings.ts";
import { type NamedSource, pathOf, type StudySource } from "./source.ts";

/** A file that is an input, or looks as if it were one. */
export interface Candidate {
  readonly path: string;
  readonly name: string;
  readonly hints: RecordingHints;
  /** What collections say of it. */
  readonly listed: readonly Listing[];
  /** Why it is none, where that is known already. */
  readonly fault: string | undefined;
}

export interface Listing {
  /** Name of the collection. */
  readonly by: string;
  /** SHA-512 that the metadata file should have. */
  readonly metadataHash: string;
}

export interface Walked {
  readonly candidates: readonly Candidate[];
  /** Files in the folders that do not look like recordings. */
  readonly passedOver: number;
}

/**
 * The inputs of a study, in an order that depends on nothing but their names: what was given in the order given, a
 * folder's entries by their names.
 *
 * @returns A complaint where what was given is not there.
 */
export async function walk(
  sources: readonly StudySource[],
  settings: Pick<StudySettings, "subfolders" | "raw" | "carrierHz">,
): Promise<Result<Walked, InputError>> {
  const found: Candidate[] = [];
  /** Where a path stands in `found`. */
  const places = new Map<string, number>();
  let passedOver = 0;
  const carrierHz = settings.carrierHz ?? undefined;

  function add(path: string, name: string, o: { hints?: RecordingHints; fault?: string | undefined } = {}): void {
    const earlier = places.get(path);
    const before = earlier === undefined ? undefined : found[earlier];
    // A collection spoke of it before it was come across itself.
    if (before && onlyListed.delete(path)) return;
    places.set(path, found.length);
    found.push({ path, name, hints: o.hints ?? { carrierHz }, listed: [], fault: o.fault });
  }

  const onlyListed = new Set<string>();
  function list(path: string, name: string, listing: Listing): void {
    if (!places.has(path)) {
      add(path, name);
      onlyListed.add(path);
    }
    const at = places.get(path);
    const one = at === undefined ? undefined : found[at];
    if (at !== undefined && one) found[at] = { ...one, listed: [...one.listed, listing] };
  }

  async function addCollection(path: string, name: string): Promise<void> {
    const streams = await readCollection(path);
    if (!streams.ok) return add(path, name, { fault: ownNames(streams.error.message, path, name) });
    for (const stream of streams.value) {
      const file = `${stream.name}${META_SUFFIX}`;
      list(join(dirname(path), file), below(name, file), { by: name, metadataHash: stream.hash });
    }
  }

  /** @returns Whether the file is, or looks like, an input. */
  async function addFile(path: string, name: string): Promise<boolean> {
    const kind = extname(path).toLowerCase();
    if (kind === COLLECTION_SUFFIX) await addCollection(path, name);
    else if (kind === DATA_SUFFIX) {
      const meta = path.slice(0, -DATA_SUFFIX.length) + META_SUFFIX;
      const metaName = name.slice(0, -DATA_SUFFIX.length) + META_SUFFIX;
      if (await infoOf(meta)) return false; // the metadata stand for both
      add(path, name, { fault: `The metadata of these samples, ${metaName}, are not there.` });
    } else if (kind === META_SUFFIX || TELL_THEMSELVES.has(kind) || isLineFile(path)) add(path, name);
    else {
      const rule = ruleFor(settings.raw, path);
      if (!rule) return false;
      const { type, rateHz } = rule;
      const hints = { type, rateHz: rateHz ?? undefined, carrierHz: rule.carrierHz ?? carrierHz };
      add(path, name, { hints, fault: rateHz === null ? noRate(rule.ending) : undefined });
    }
    return true;
  }

  async function walkFolder(folder: string, name: string, above: ReadonlySet<string>): Promise<void> {
    const real = await realpath(folder);
    if (above.has(real)) return; // a link that leads back up
    const entries = (await readdir(folder)).sort(byCodeUnits);
    for (const entry of entries) {
      const path = join(folder, entry);
      const info = entry.startsWith(".") ? undefined : await infoOf(path);
      const entryName = `${name}/${printable(entry)}`;
      if (info?.isDirectory()) {
        if (settings.subfolders && !(await isStudy(path))) await walkFolder(path, entryName, new Set([...above, real]));
      } else if (!info?.isFile() || !(await addFile(path, entryName))) {
        if (extname(path).toLowerCase() !== DATA_SUFFIX) passedOver++;
      }
    }
  }

  for (const source of sources) {
    const path = resolve(pathOf(source));
    const { name: called, hints, fault }: Partial<NamedSource> = typeof source === "string" ? {} : source;
    try {
      const meta = `${path}${META_SUFFIX}`;
      const info = await infoOf(path);
      const name = printable(called ?? basename(path));
      if (fault !== undefined) add(path, name, { fault });
      else if (info?.isDirectory()) await walkFolder(path, name, new Set());
      else if (!info && (await infoOf(meta))) add(meta, `${name}${META_SUFFIX}`);
      else if (!info)
        return fail(
          new InputError(called ?? pathOf(source), "file", "no such file", "a recording, or a folder of them"),
        );
      else if (hints) add(path, name, { hints: { ...hints, carrierHz: hints.carrierHz ?? carrierHz } });
      else if (extname(path).toLowerCase() === DATA_SUFFIX && (await infoOf(metaOf(path)))) {
        add(metaOf(path), metaOf(name));
      } else if (!(await addFile(path, name))) add(path, name, { fault: UNKNOWN_KIND });
    } catch (error) {
      return fail(fileError(called ?? pathOf(source), error, "a recording or a folder that can be read"));
    }
  }
  return succeed({ candidates: found, passedOver });
}

/** Whether a folder is that of a study. */
export async function isStudy(folder: string): Promise<boolean> {
  const { settings, layouts, sources } = studyFiles(folder);
  return ((await infoOf(settings)) && (await infoOf(layouts)) && (await infoOf(sources))) !== undefined;
}

const TELL_THEMSELVES = new Set([".sigmf", ".wav", ".wave", ".rf64", ".bw64"]);

const UNKNOWN_KIND =
  "A file of unknown kind. Raw samples need an entry in raw of the settings: how the name ends, type and rate.";

function noRate(ending: string): string {
  return `No sample rate: the settings give none for ${ending}, and it is never guessed. Put it into raw, rateHz.`;
}

function metaOf(data: string): string {
  return data.slice(0, -DATA_SUFFIX.length) + META_SUFFIX;
}

function below(name: string, file: string): string {
  const slash = name.lastIndexOf("/");
  return name.slice(0, slash + 1) + printable(file);
}

/** The rule with the longest ending that fits. */
function ruleFor(rules: readonly RawRule[], path: string): RawRule | undefined {
  const fitting = rules.filter(({ ending }) => path.toLowerCase().endsWith(ending.toLowerCase()));
  return fitting.sort((a, b) => b.ending.length - a.ending.length)[0];
}

/** The same on every machine, whatever its language. */
function byCodeUnits(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}

async function infoOf(path: string): Promise<Stats | undefined> {
  return stat(path).catch(() => undefined);
}
