import type { SpecimenWake } from "../bench/bodies.ts";
import type { GaugeAt, PotFill } from "../bench/fills.ts";
import { emptyLot, type Lot, LotShape } from "../bench/lot.ts";
import { ruleWords } from "../bench/ruleWords.ts";
import { NOT_TESTED, type Warning } from "../bench/warnings.ts";
import { identitiesOf, type LotHeard, type WorkedLot, type WorkedSpecimen, workOut } from "../bench/workOut.ts";
import type { GaugeReading, StoredLot } from "../store/store.ts";
import { heardOf, type Most, type Stretch, wakesTold } from "./heardOf.ts";
import type { House } from "./house.ts";
import { createLately, type Lately } from "./lately.ts";
import { LotBody, type LotHeadBody } from "./wire/lots.ts";

/** A lot with what was heard of it and what that comes to. */
export interface LotVisit {
  readonly stored: StoredLot;
  readonly lot: Lot;
  readonly heard: LotHeard;
  readonly gauge: readonly GaugeReading[];
  readonly worked: WorkedLot;
  /** The time that its receivers have. */
  readonly clock: string;
}

/** A visit but for what goes on by itself. */
type StillVisit = Omit<LotVisit, "clock"> & {
  /** Of the newest telegram, where all that is listened to has a clock of its own; `null`: ours holds. */
  readonly newestAt: string | null;
};

/** Large lots take a second to be worked out, and every page that shows one asks for it after every telegram. */
export type LotVisits = Lately<StillVisit>;
/** Lots of which the last visit is kept: a large one holds some tens of megabytes. */
const MOST_VISITS = 4;

export function createLotVisits(): LotVisits {
  return createLately(MOST_VISITS);
}

/** The entries of a stored lot; one of an older version lacks what came later. */
export function lotOf({ body }: Pick<StoredLot, "body">): Lot {
  return LotShape.parse({ ...emptyLot(), ...(typeof body === "object" ? body : {}) });
}

/** What has been heard by now. It is worked out anew only where something was heard or written down since. */
export async function lotVisit(house: House, stored: StoredLot): Promise<LotVisit> {
  const now = house.stamp();
  const lot = lotOf(stored);
  // Whatever is heard, written down or analysed is told as an event; what is only forgotten shows within a minute.
  const event = await house.store.lastEventNumber();
  const minute = Math.floor(Date.parse(now) / 60_000);
  const name = `${stored.id}, golden specimen ${JSON.stringify(lot.golden)}`;
  const marks = [stored.revision, event, minute, ...house.shelf.current()];
  const { newestAt, ...visit } = await house.lotVisits.get(name, marks, () => workedVisit(house, stored, lot, now));
  return { ...visit, clock: newestAt ?? now };
}

async function workedVisit(house: House, stored: StoredLot, lot: Lot, now: string): Promise<StillVisit> {
  const replays = await replaysIn(house);
  const stretches = stretchesOf(lot, replays);
  const { telegrams, bursts, cut } = await heardOf(house, lot.recordingHashes, lot.receiverIds, stretches, MOST_OF_LOT);
  const gauge = await house.store.gaugeOf(stored.id);
  const heard: LotHeard = {
    telegrams,
    bursts,
    layouts: house.shelf.current(),
    wakes: (await wakesTold(house, lot.receiverIds, stretches)).flatMap(specimenWake),
    gauge: gauge.map(gaugeAt),
    earlier: await earlierLots(house, stored),
    golden: await goldenRadio(house, stored, lot),
    lotId: stored.id,
    nowMs: Date.parse(now),
  };
  const worked = workOut(lot, heard);
  return {
    stored,
    lot,
    heard,
    gauge,
    worked: { ...worked, warnings: [...worked.warnings, ...cutWarnings(cut)] },
    newestAt: isLive(lot, replays) ? null : newestOf(telegrams),
  };
}

/** The time that a lot's receivers have: ours where a live one is ticked, else that of the newest telegram. */
export async function clockOf(house: House, stored: StoredLot): Promise<string> {
  return isLive(lotOf(stored), await replaysIn(house)) ? house.stamp() : (await lotVisit(house, stored)).clock;
}

/** What is replayed or recorded is told in the time of its file; live receivers go with our clock. */
function isLive({ receiverIds }: Lot, replays: ReadonlySet<string>): boolean {
  return receiverIds.some((id) => !replays.has(id));
}

async function replaysIn({ store }: House): Promise<ReadonlySet<string>> {
  return new Set((await store.receivers()).flatMap(({ id, kind }) => (kind === "replay" ? [id] : [])));
}

function newestOf(telegrams: LotHeard["telegrams"]): string | null {
  const newest = telegrams.reduce((most, { at }) => Math.max(most, Date.parse(at)), Number.NEGATIVE_INFINITY);
  return Number.isFinite(newest) ? timeOf(newest) : null;
}

function cutWarnings(cut: readonly string[]): readonly Warning[] {
  return cut.map((receiverId) => ({
    strength: "look here",
    says: `Receiver ${receiverId} heard more than is looked at: of its telegrams the first and the last ${MOST_OF_LOT.telegrams / 2} count, of its bursts the last ${MOST_OF_LOT.bursts}. End listening between tests.`,
  }));
}

/** A replay belongs to a lot whole, as a recording does; of other receivers what came while the lot listened. */
function stretchesOf(lot: Lot, replays: ReadonlySet<string>): (receiverId: string) => readonly Stretch[] {
  const listened = lot.listening.map(({ from, to }) => ({ from, to: to ?? longestTo(from) }));
  return (receiverId) => (replays.has(receiverId) ? [ALWAYS] : listened);
}

/** Each specimen of a large lot sends some dozens, each in some copies. */
const MOST_OF_LOT: Most = { bursts: 40_000, telegrams: 100_000 };
const ALWAYS: Stretch = { from: "1970-01-01T00:00:00.000000Z", to: "9999-12-31T00:00:00.000000Z" };
const LONGEST_MS = 12 * 3_600_000;

/** What goes on ends by itself after twelve hours. */
function longestTo(from: string): string {
  return new Date(Date.parse(from) + LONGEST_MS).toISOString();
}

function specimenWake({ position, at }: { readonly position: string; readonly at: string }): SpecimenWake[] {
  const number = /^(?:specimen )?(\d{1,3})$/.exec(position.trim())?.[1];
  return number === undefined || Number(number) < 1
    ? []
    : [{ number: Number(number), atMs: Date.parse(at), by: "receiver" }];
}

function gaugeAt({ at, kpa, temperatureC }: GaugeReading): GaugeAt {
  return { atMs: Date.parse(at), kpa, temperatureC };
}

/**
 * The oldest earlier lot that an identity was in, also of those in the bin. They are not worked out for it: a lot's
 * identities are those that are written down in it, as they are by the first fill, with a gauge's log, and when listening
 * ends. One that only ever lay there with its recording is not known again.
 */
async function earlierLots({ store }: House, stored: StoredLot): Promise<LotHeard["earlier"]> {
  const found = new Map<string, string>();
  const removed = (await store.removedLots()).map((other) => ({ other, where: ", in the bin" }));
  const kept = (await store.lots()).map((other) => ({ other, where: "" }));
  const newestFirst = [...removed, ...kept].toSorted((a, b) => b.other.createdAt.localeCompare(a.other.createdAt));
  for (const { other, where } of newestFirst) {
    if (other.id === stored.id || other.createdAt > stored.createdAt) continue;
    const lot = lotOf(other);
    const name = lot.title === "" ? `${other.id}${where}` : `${lot.title} (${other.id}${where})`;
    for (const identity of identitiesOf(lot)) found.set(identity, name);
  }
  return (identity) => found.get(identity);
}

/** Of a golden specimen that lies in another lot. */
async function goldenRadio(house: House, stored: StoredLot, { golden }: Lot): Promise<LotHeard["golden"]> {
  if (golden === null || golden.lot === stored.id) return null;
  const other = await house.store.lot(golden.lot);
  if (!other) return null;
  const worked = await otherLot(house, other);
  return worked.specimens[golden.number - 1]?.radio ?? null;
}

/** Another lot worked out, without its own golden specimen: two lots may name each other's. */
export async function otherLot(house: House, other: StoredLot): Promise<WorkedLot> {
  return (await lotVisit(house, { ...other, body: { ...lotOf(other), golden: null } })).worked;
}

export async function lotBody(house: House, stored: StoredLot): Promise<LotBody> {
  return bodyOfLot(house, await lotVisit(house, stored));
}

/** Ports of gauges that told something and are read no longer: by hand, by a restart, or since the lot lay in the bin. */
function idleGauges(gauge: readonly GaugeReading[]): readonly Warning[] {
  const ports = new Set(gauge.flatMap(({ source }) => (/^(\/|COM\d)/.test(source) ? [source] : [])));
  return [...ports].map((port) => ({
    strength: "note",
    says: `The gauge on ${port} is not read any more: start it again before the next fill.`,
  }));
}

/** As it goes over the wire. */
export function bodyOfLot(house: House, { stored, lot, gauge, worked, clock }: LotVisit): LotBody {
  const { fills, specimens, others, ratio, acceptance } = worked;
  const gaugeLine = house.gauges.stateOf(stored.id);
  return LotBody.parse({
    ...lot,
    ...headOf(stored),
    clock,
    gaugeLogs: logsOf(gauge),
    gaugeLine,
    stages: worked.stages,
    warnings: [...worked.warnings, ...(gaugeLine ? [] : idleGauges(gauge))],
    ratio: ratio ?? null,
    workedFills: fills.map(fillBody),
    rows: specimens.map((one) => rowOf(one)),
    others: others.map(({ body, aside }) => ({
      identity: body.identity,
      telegrams: body.said.length,
      because: aside ? "Put aside: not of this lot." : "More than were drawn: is it a neighbour's?",
      aside,
    })),
    unreadableBursts: worked.unreadableBursts,
    lotView: worked.view,
    acceptance,
    counts: worked.counts,
    ruleSays: ruleWords(lot.rule),
    notTested: NOT_TESTED,
  });
}

export function headOf(stored: StoredLot): LotHeadBody {
  const { id, revision, createdAt, changedAt, sample: sampleOfHouse } = stored;
  const { title, supplier, part, sample } = lotOf(stored);
  return { id, revision, createdAt, changedAt, sampleOfHouse, title, supplier, part, sample };
}

function logsOf(gauge: readonly GaugeReading[]): LotBody["gaugeLogs"] {
  const bySource = new Map<string, { name: string; readings: number; from: string; to: string }>();
  for (const { source, at } of gauge) {
    const log = bySource.get(source);
    if (log) {
      log.readings++;
      log.to = at;
    } else bySource.set(source, { name: source, readings: 1, from: at, to: at });
  }
  return [...bySource.values()];
}

function fillBody(fill: PotFill): LotBody["workedFills"][number] {
  const { settled } = fill;
  return {
    id: fill.id,
    from: fill.from,
    setPoint: fill.setPoint,
    gaugeKpa: fill.gaugeKpa,
    gaugeMovedKpa: fill.gaugeMovedKpa,
    temperatureC: fill.temperatureC,
    at: timeOf(fill.atMs),
    endedAt: fill.endMs === null ? null : timeOf(fill.endMs),
    settledFrom: settled ? timeOf(settled.fromMs) : null,
    settledTo: settled ? timeOf(settled.toMs) : null,
    used: settled?.count ?? 0,
    leftOut: fill.leftOut,
    says: fillWords(fill),
  };
}

function fillWords({ settled, atMs, leftOut, endMs, from, doubt }: PotFill): string {
  if (!settled) {
    if (endMs !== null) return `The pot never stood still: ${leftOut} telegrams came, none of them counts.`;
    return leftOut === 0 ? "Nothing was heard since." : `Not still yet: ${leftOut} telegrams so far.`;
  }
  const after = Math.round((settled.fromMs - atMs) / 1000);
  const already = from === "log" ? "Stood still all the time" : "Stood still already when the gauge was read";
  const since = after > 0 ? `Stood still ${after} s after the fill` : already;
  const left = leftOut === 0 ? "" : `; ${leftOut} before or after it do not`;
  const drift = settled.driftKpa > 0 ? ` It crept by ${settled.driftKpa.toFixed(1)} kPa.` : "";
  const early =
    from === "entry" && settled.sinceReadKpa > 0
      ? ` When the gauge was read the pot was ${settled.sinceReadKpa.toFixed(1)} kPa from there: read it again.`
      : "";
  return `${since}: ${settled.count} telegrams count${left}.${drift}${early}${doubt === null ? "" : ` ${doubt}`}`;
}

export function timeOf(ms: number): string {
  return new Date(ms).toISOString();
}

export function rowOf(one: WorkedSpecimen): LotBody["rows"][number] {
  const { registered, said, pressure, radio, figures } = one;
  const { number, body, label, note, leftOut, by, wakes } = registered;
  const last = said.at(-1);
  return {
    number,
    identity: body?.identity ?? null,
    body: body?.letter ?? "",
    label,
    note,
    leftOut,
    state: one.state,
    says: one.says,
    registeredBy: by,
    telegrams: said.length,
    lastAt: last ? timeOf(last.atMs) : null,
    wakes: wakes.length,
    flags: [...one.flags],
    cells: pressure.cells.map(({ setPoint, readings, meanKpa, errorKpa, budget }) => ({
      setPoint,
      readings,
      meanKpa,
      errorKpa,
      expandedKpa: budget?.expanded ?? null,
      verdict: figures.find((figure) => figure.key === "pressure" && figure.setPoint === setPoint)?.verdict ?? null,
    })),
    missing: [...one.missing],
    linearityKpa: pressure.linearityKpa,
    hysteresisKpa: pressure.hysteresisKpa,
    repeatabilityKpa: pressure.repeatability?.deviation ?? null,
    meanErrorKpa: pressure.meanErrorKpa,
    carrierOffsetHz: radio.farthestCarrier?.value ?? null,
    carrierWalkHz: radio.walk?.hz ?? null,
    deviationHz: radio.deviation?.value ?? null,
    symbolRate: radio.symbolRate?.value ?? null,
    levelDb: radio.level?.value ?? null,
    wakeSeconds: radio.wake?.value ?? null,
    telegramsPerWake: radio.perWake?.most ?? null,
    figures: [...figures],
    verdict: one.verdict,
    because: one.because,
  };
}
