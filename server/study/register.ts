import { createHash } from "node:crypto";
import { stat } from "node:fs/promises";
import type { InputError } from "../recordings/inputError.ts";
import { openRecording } from "../recordings/openRecording.ts";
import { type Recording, sampleBytes } from "../recordings/recording.ts";
import { isLineFile } from "../work/openSource.ts";
import type { Pool } from "../work/pool.ts";
import { type Origin, RegisteredInput } from "./input.ts";
import { ownNames } from "./ownNames.ts";
import type { Candidate } from "./walk.ts";

export interface RegisterOptions {
  /** Takes the hashes. */
  readonly pool: Pick<Pool, "hash" | "size">;
  /** What was registered before, by path; taken over where its stamp is still the same. */
  readonly known: ReadonlyMap<string, RegisteredInput>;
  /** Called with each that took a hash, so that a kill costs only the rest. */
  readonly keep: (input: RegisteredInput) => Promise<void>;
  readonly signal: AbortSignal;
  readonly onRegister?: ((standing: RegisterStanding) => void) | undefined;
  /** Called with each that can be used, in their order, as soon as it is known that none before it is the same. */
  readonly onUsable?: ((input: RegisteredInput) => void) | undefined;
}

export interface RegisterStanding {
  readonly files: number;
  readonly ofFiles: number;
  readonly bytes: number;
  readonly ofBytes: number;
}

/**
 * The inputs of a study in the order of the candidates, each with its hash or with the reason why it is skipped.
 *
 * @throws DOMException `AbortError` once it is aborted.
 */
export async function register(candidates: readonly Candidate[], o: RegisterOptions): Promise<RegisteredInput[]> {
  const facts: Facts[] = [];
  for (const candidate of candidates) {
    o.signal.throwIfAborted();
    facts.push(await factsOf(candidate));
  }
  const inputs: RegisteredInput[] = [];
  const registered: RegisteredInput[] = [];
  const unrepeated = repeatFinder();
  const ofBytes = facts.reduce((sum, { bytes }) => sum + bytes, 0);
  let [next, files, bytes] = [0, 0, 0];
  const hashing = Array.from({ length: o.pool.size }, async () => {
    for (let index = next++; index < facts.length; index = next++) {
      o.signal.throwIfAborted();
      const one = facts[index];
      if (!one) continue;
      inputs[index] = RegisteredInput.parse({ ...(await hashed(one, o)), index });
      for (let next = inputs[registered.length]; next; next = inputs[registered.length]) {
        const input = unrepeated(next);
        registered.push(input);
        if (input.skipped === undefined) o.onUsable?.(input);
      }
      files++;
      bytes += one.bytes;
      o.onRegister?.({ files, ofFiles: facts.length, bytes, ofBytes });
    }
  });
  await Promise.all(hashing);
  o.signal.throwIfAborted();
  return registered;
}

/** Whether the files of an input are still what they were, by their size and time of change. */
export async function hasStamp({ path, hints, stamp }: RegisteredInput): Promise<boolean> {
  const paths = isLineFile(path)
    ? [path]
    : await openRecording(path, hints).then((it) => (it.ok ? filesOf(it.value) : []));
  return stamp !== undefined && stamp === (await stampOf(paths));
}

interface Facts {
  readonly input: Omit<RegisteredInput, "index">;
  /** To be hashed. */
  readonly bytes: number;
}

async function factsOf({ path, name, hints, listed, fault }: Candidate): Promise<Facts> {
  const { type, rateHz, carrierHz } = hints;
  const given = {
    ...(type === undefined ? {} : { type }),
    ...(rateHz === undefined ? {} : { rateHz }),
    ...(carrierHz === undefined ? {} : { carrierHz }),
  };
  const known = { name, path, ...(Object.keys(given).length === 0 || isLineFile(path) ? {} : { hints: given }) };
  const skip = (skipped: string): Facts => ({ input: { ...known, skipped }, bytes: 0 });
  if (fault !== undefined) return skip(fault);
  if (isLineFile(path)) {
    const info = await stat(path).catch(() => undefined);
    const stamp = await stampOf([path]);
    return { input: { ...known, kind: "lines", stamp }, bytes: info?.size ?? 0 };
  }
  const lister = listed[0]?.by;
  if (lister !== undefined && !(await stat(path).catch(() => undefined)))
    return skip(`${lister} lists it, but it is not there.`);
  const opened = await openRecording(path, hints);
  if (!opened.ok) return skip(refusal(opened.error, path, name));
  const recording = opened.value;
  const { sampleCount, sampleType, sampleRateHz } = recording;
  if (sampleCount === undefined) return skip("No ordinary file: it has no length.");
  const told = sigmfFacts(recording);
  const wrong =
    told.metadataHash === undefined ? undefined : listed.find((it) => it.metadataHash !== told.metadataHash);
  if (wrong) return skip(`Its metadata do not have the hash that ${wrong.by} states: one of the two was changed.`);
  const centreHz = recording.captures[0]?.carrierHz;
  return {
    input: {
      ...known,
      kind: "samples",
      stamp: await stampOf(filesOf(recording)),
      sampleType,
      sampleRateHz,
      ...(centreHz === undefined ? {} : { carrierHz: centreHz }),
      ...told,
    },
    bytes: sampleCount * sampleBytes(sampleType),
  };
}

async function hashed({ input }: Facts, o: RegisterOptions): Promise<Omit<RegisteredInput, "index">> {
  if (input.skipped !== undefined) return input;
  const before = o.known.get(input.path);
  if (
    before?.hash !== undefined &&
    before.stamp === input.stamp &&
    JSON.stringify(before.hints) === JSON.stringify(input.hints)
  ) {
    return before;
  }
  const { path, name, hints = {} } = input;
  const outcome = await o.pool.hash({ path, hints, signal: o.signal });
  o.signal.throwIfAborted();
  if (!outcome.ok) return { ...input, skipped: sentence(ownNames(outcome.error, path, name)) };
  const { hash, bytes, badLines, firstBad, startedAt } = outcome.value;
  const done = {
    ...input,
    hash,
    bytes,
    ...(startedAt === undefined ? {} : { startedAt }),
    ...(firstBad === undefined ? {} : { remark: badLineWords(badLines, ownNames(firstBad, path, name)) }),
  };
  await o.keep({ ...done, index: 0 });
  return done;
}

/** Of inputs with the same content the first one stays. Takes them in their order. */
function repeatFinder(): (input: RegisteredInput) => RegisteredInput {
  const first = new Map<string, RegisteredInput>();
  return (input) => {
    if (input.hash === undefined || input.skipped !== undefined) return input;
    const earlier = first.get(input.hash);
    if (!earlier) {
      first.set(input.hash, input);
      return input;
    }
    const alike =
      earlier.sampleType === input.sampleType &&
      earlier.sampleRateHz === input.sampleRateHz &&
      earlier.carrierHz === input.carrierHz;
    const other = alike ? "" : " The two state another type, rate or carrier.";
    return { ...input, skipped: `Same as input ${earlier.index}, ${earlier.name}.${other}` };
  };
}

type SigmfFacts = Pick<RegisteredInput, "metadataHash" | "startedAt" | "origin">;

function sigmfFacts({ origin }: Recording): SigmfFacts {
  if (!("metadata" in origin)) return {};
  const { global, captures, bytes } = origin.metadata;
  const text = (key: string) => {
    const value = global[key];
    return typeof value === "string" && value.trim() !== "" ? value : undefined;
  };
  const said =
    captures[0]?.["core:sample_start"] === (global["core:offset"] ?? 0) ? captures[0]["core:datetime"] : undefined;
  const cited: Record<keyof Origin, string | undefined> = {
    author: text("core:author"),
    license: text("core:license"),
    dataDoi: text("core:data_doi"),
    metaDoi: text("core:meta_doi"),
  };
  const told: Origin = Object.fromEntries(Object.entries(cited).filter(([, value]) => value !== undefined));
  return {
    ...(typeof said === "string" ? { startedAt: said } : {}),
    ...(origin.kind === "sigmf" ? { metadataHash: createHash("sha512").update(bytes).digest("hex") } : {}),
    ...(Object.keys(told).length > 0 ? { origin: told } : {}),
  };
}

function filesOf({ origin }: Recording): string[] {
  if (origin.kind === "sigmf") return [origin.metaPath, origin.dataPath];
  return origin.kind === "stream" ? [] : [origin.path];
}

async function stampOf(paths: readonly string[]): Promise<string> {
  const infos = await Promise.all(paths.map((path) => stat(path).catch(() => undefined)));
  return infos.map((info) => `${info?.size ?? "gone"}@${info?.mtimeMs ?? 0}`).join(" ");
}

function refusal(error: InputError, path: string, name: string): string {
  const said = sentence(ownNames(error.message, path, name));
  const noRate = error.where === "global.core:sample_rate" && error.message.includes("found nothing");
  return noRate ? `No sample rate, and it is never guessed. ${said}` : said;
}

function badLineWords(count: number, first: string): string {
  return count === 1
    ? `1 line does not fit and is left out: ${first}`
    : `${count} lines do not fit and are left out; the first: ${first}`;
}

function sentence(text: string): string {
  return text.endsWith(".") ? text : `${text}.`;
}
