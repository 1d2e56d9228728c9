import { readFile, writeFile } from "node:fs/promises";
import { basename } from "node:path";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import type { BurstRecord } from "../../decoders/records.ts";
import type { SampleType } from "../../decoders/sources.ts";
import { type Caught, caughtOf } from "../../decoders/workshop/caught.ts";
import { cutAgain, type Listened, listenAgain } from "../../decoders/workshop/cutAgain.ts";
import { derive } from "../../decoders/workshop/derive.ts";
import { type GaugeReading, parseGaugeLog } from "../../decoders/workshop/gaugeLog.ts";
import { layoutOf } from "../../decoders/workshop/layoutOf.ts";
import { nextRecordings } from "../../decoders/workshop/next.ts";
import { prove } from "../../decoders/workshop/prove.ts";
import { stations, suggestionSays } from "../../decoders/workshop/told.ts";
import { fileError, InputError } from "../recordings/inputError.ts";
import type { Recording } from "../recordings/recording.ts";
import { openSource } from "./analyseFiles.ts";
import type { Desk, Status } from "./desk.ts";
import { untilInterrupted } from "./untilInterrupted.ts";

export interface DeriveArguments {
  readonly log?: string;
  readonly json?: boolean;
  readonly output?: string;
  readonly type?: SampleType;
  readonly rate?: number;
  readonly carrier?: number;
}

/** Recordings that do not say when they were made are taken to follow each other so closely. */
const GAP_SECONDS = 10;

/**
 * `wheelgram derive RECORDING...`: the layout of whatever in them nothing reads.
 *
 * @returns 130 if interrupted, 2 if a file could not be read, 1 if no layout came of it, else 0.
 */
export async function deriveLayout(desk: Desk, files: readonly string[], given: DeriveArguments): Promise<Status> {
  try {
    const heard = await caughtIn(desk, files, given);
    if (heard === "interrupted") return 130;
    const { caught, zeroSeconds } = heard;
    const log = given.log === undefined ? [] : await readLog(given.log, zeroSeconds);
    return await tell(desk, caught, log, given);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    desk.complain(error.message);
    return 2;
  }
}

async function tell(
  desk: Desk,
  caught: readonly Caught[],
  log: readonly GaugeReading[],
  { json, output }: DeriveArguments,
): Promise<Status> {
  const derived = derive(caught, log);
  if (!derived.group) {
    const { outliers } = derived.gathered;
    desk.complain(
      `wheelgram: ${caught.length} bursts that nothing reads, of which no three belong together; record more of them`,
    );
    for (const { caught: one, because } of outliers.slice(0, 10)) desk.complain(`${one.id}: ${because}`);
    return 1;
  }
  const id = output === undefined ? "unnamed" : idFrom(output);
  const layout = layoutOf(derived, { id, title: `Worked out from ${caught.length} bursts`, notes: "" });
  const parsed = parseLayout(layout);
  if (!parsed.ok) {
    for (const complaint of parsed.complaints) desk.complain(`the layout: ${complaintLine(complaint)}`);
    return 1;
  }
  const proof = prove(derived, parsed.layout, caught, log);
  const suggestions = nextRecordings(derived.derivation, log);
  const found = stations(derived, proof);
  if (json) {
    for (const { name, says } of found) await desk.write(`${JSON.stringify({ kind: "station", name, says })}\n`);
    for (const one of suggestions) await desk.write(`${JSON.stringify({ kind: "next", ...one })}\n`);
    const { tested, hits, doubts } = proof;
    await desk.write(
      `${JSON.stringify({ kind: "proof", proved: doubts.length === 0, hits, tested: tested.length, doubts })}\n`,
    );
    await desk.write(`${JSON.stringify({ kind: "layout", layout: parsed.layout })}\n`);
  } else {
    for (const { name, says } of found) await desk.write(`${name}\n${says.map((line) => `  ${line}\n`).join("")}`);
    if (suggestions.length > 0) {
      await desk.write(`next\n${suggestions.map((one) => `  ${suggestionSays(one)}\n`).join("")}`);
    }
  }
  if (output !== undefined) await save(output, parsed.layout, desk);
  return 0;
}

async function save(path: string, layout: object, { complain }: Desk): Promise<void> {
  try {
    await writeFile(path, `${JSON.stringify(layout, null, 2)}\n`, { flag: "wx" });
  } catch (error) {
    const isThere = error instanceof Error && "code" in error && error.code === "EEXIST";
    if (isThere) throw new InputError(path, "the whole", "a file that is there already", "a name that is free");
    throw fileError(path, error, "a file that can be written");
  }
  complain(`written: ${path}`);
}

function idFrom(path: string): string {
  const id = basename(path)
    .replace(/\.json$/i, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
  return id === "" ? "unnamed" : id;
}

async function caughtIn(
  desk: Desk,
  files: readonly string[],
  given: DeriveArguments,
): Promise<{ readonly caught: readonly Caught[]; readonly zeroSeconds: number } | "interrupted"> {
  const caught: Caught[] = [];
  const listened: Listened[] = [];
  let zeroSeconds: number | undefined;
  let endSeconds = 0;
  for (const file of files) {
    const source = await openSource(desk, file, given, () => undefined);
    if (!source.ok) throw source.error;
    const origin = (source.value.kind === "samples" ? startOf(source.value) : undefined) ?? endSeconds;
    zeroSeconds ??= origin;
    let seconds = 0;
    const records: BurstRecord[] = [];
    const idOf = ({ index }: BurstRecord) => `${file}#${index}`;
    for await (const record of untilInterrupted(analyse(source.value, builtinLayouts), desk.streams.interrupted)) {
      if (record === "interrupted") return record;
      if (record.kind === "summary") seconds = record.seconds;
      if (record.kind !== "burst") continue;
      records.push(record);
      const one = caughtOf(record, idOf(record), origin);
      if (one) caught.push(one);
    }
    if (source.value.kind === "samples") {
      const again = await openSource(desk, file, given, () => undefined);
      if (!again.ok) throw again.error;
      if (again.value.kind === "samples") listened.push(...(await listenAgain(again.value, records, origin, idOf)));
    }
    endSeconds = Math.max(endSeconds, origin + seconds + GAP_SECONDS);
  }
  return { caught: cutAgain(listened, caught), zeroSeconds: zeroSeconds ?? 0 };
}

/** When its first sample was, in seconds since 1970, where it says so. */
function startOf({ origin }: Recording): number | undefined {
  const said = "metadata" in origin ? origin.metadata.captures[0]?.["core:datetime"] : undefined;
  const ms = typeof said === "string" ? Date.parse(said) : Number.NaN;
  return Number.isNaN(ms) ? undefined : ms / 1000;
}

async function readLog(path: string, zeroSeconds: number): Promise<readonly GaugeReading[]> {
  const text = await readFile(path, "utf8").catch((error: unknown) => {
    throw fileError(path, error, "a table of time, kPa and °C");
  });
  const parsed = parseGaugeLog(text, zeroSeconds);
  if (parsed.ok) return parsed.readings;
  throw new InputError(path, `line ${parsed.line}`, parsed.found, parsed.allowed);
}
