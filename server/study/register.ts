import { createHash } from "node:crypto";
import { stat } from "node:fs/promises";
import type { InputError } from "../recordings/inputError.ts";
import { openRecording } from "../recordings/openRecording.ts";
import { type Recording, sampleBytes } from "../recordings/recording.ts";
import { isLineFile } from "../work/openSource.ts";
import { type Origin, RegisteredInput } from "./input.ts";
import { ownNames } from "./ownNames.ts";
import { soonAfterAbort } from "./soonAfterAbort.ts";
import type { Take, Taken } from "./take.ts";
import type { Candidate } from "./walk.ts";

export interface RegisterOptions {
  /** Takes in what is not known. */
  readonly take: Take;
  /** How many at once. */
  readonly size: number;
  /** What was registered before, by path; taken over where its stamp is still the same. */
  readonly known: ReadonlyMap<string, RegisteredInput>;
  /** Called with each that took a hash, so that a kill costs only the rest. */
  readonly keep: (input: RegisteredInput) => Promise<void>;
  readonly signal: AbortSignal;
  readonly onFound?: ((found: Found) => void) | undefined;
  readonly onRegister?: ((standing: RegisterStanding) => void) | undefined;
}

/** What can be told before anything is read. */
export interface Found {
  readonly total: number;
  /** Each with a sentence that says why. */
  readonly skipped: readonly { readonly name: string; readonly because: string }[];
}

export interface RegisterStanding {
  readonly files: number;
  readonly ofFiles: number;
  readonly bytes: number;
  readonly ofBytes: number;
}

/** So many, and twice those taken at once, may be done before one before them is: their records wait in memory. */
const MOST_AHEAD = 8;

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
  const skipped = facts.flatMap(({ input: { name, skipped: because } }) =>
    because === undefined ? [] : [{ name, because }],
  );
  o.onFound?.({ total: facts.length, skipped });
  const done: (In | undefined)[] = [];
  const registered: RegisteredInput[] = [];
  const unrepeated = repeatFinder();
  const ofBytes = facts.reduce((sum, { bytes }) => sum + bytes, 0);
  const shares = new Map<Facts, number>();
  let [next, files, bytes, isBroken] = [0, 0, 0, false];
  let settling = Promise.resolve();
  const waiting: (() => void)[] = [];

  function tell(): void {
    const underWay = [...shares].reduce((sum, [one, share]) => sum + share * one.bytes, 0);
    o.onRegister?.({ files, ofFiles: facts.length, bytes: bytes + underWay, ofBytes });
  }
  /** Registers, in their order, those of which all before them are. */
  async function settle(): Promise<void> {
    for (let one = done[registered.length]; one; one = done[registered.length]) {
      const index = registered.length;
      const input = unrepeated(RegisteredInput.parse({ ...one.input, index }));
      done[index] = undefined; // and the records that it holds
      registered.push(input);
      if (input.skipped === undefined) await one.keep?.(input);
    }
    for (const resume of waiting.splice(0)) resume();
  }
  async function takeAll(): Promise<void> {
    for (let index = next++; index < facts.length && !isBroken; index = next++) {
      while (index - registered.length > MOST_AHEAD + 2 * o.size && !isBroken) {
        await new Promise<void>((resume) => waiting.push(resume));
      }
      o.signal.throwIfAborted();
      const one = facts[index]!;
      done[index] = await takeIn(one, o, (share) => {
        shares.set(one, share);
        tell();
      });
      shares.delete(one);
      files++;
      bytes += one.bytes;
      tell();
      settling = settling.then(settle);
      await settling;
    }
  }

  const taking = Promise.all(Array.from({ length: o.size }, takeAll)).catch((error: unknown) => {
    isBroken = true;
    for (const resume of waiting.splice(0)) resume();
    throw error;
  });
  await Promise.race([taking, soonAfterAbort(o.signal)]);
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

interface In {
  readonly input: Omit<RegisteredInput, "index">;
  readonly keep?: Taken["keep"];
}

async function takeIn({ input }: Facts, o: RegisterOptions, onProgress: (share: number) => void): Promise<In> {
  if (input.skipped !== undefined) return { input };
  const before = o.known.get(input.path);
  if (
    before?.hash !== undefined &&
    before.stamp === input.stamp &&
    JSON.stringify(before.hints) === JSON.stringify(input.hints)
  ) {
    return { input: before };
  }
  const { path, name } = input;
  const outcome = await o.take(input, onProgress);
  o.signal.throwIfAborted();
  if (!outcome.ok) return { input: { ...input, skipped: sentence(ownNames(outcome.error, path, name)) } };
  const { hash, bytes, badLines, firstBad, startedAt } = outcome.value.hashed;
  const known = {
    ...input,
    hash,
    bytes,
    ...(startedAt === undefined ? {} : { startedAt }),
    ...(firstBad === undefined ? {} : { remark: badLineWords(badLines, ownNames(firstBad, path, name)) }),
  };
  await o.keep({ ...known, index: 0 });
  return { input: known, keep: outcome.value.keep };
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
