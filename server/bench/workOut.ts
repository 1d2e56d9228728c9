import { median } from "simple-statistics";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { type AmbientAir, ambientAir } from "../jobs/pressure/ambientAir.ts";
import { isUnreadable } from "../jobs/wheelLines.ts";
import type { StoredTelegram } from "../store/store.ts";
import { type Acceptance, acceptanceOf, type Counts } from "./acceptanceOf.ts";
import { answersTo, bodiesOf, type SpecimenWake } from "./bodies.ts";
import type { Figure } from "./figure.ts";
import { type Around, figuresOf, sendsUnread, worst } from "./figures.ts";
import { type GaugeAt, type PotFill, potFills } from "./fills.ts";
import { ANOTHER_CARRIER_HZ, type Common, type Flag, flagsOf, layoutOf } from "./flags.ts";
import { type GaugeRatio, gaugeRatio } from "./gaugeRatio.ts";
import { grouped } from "./grouped.ts";
import { levelReference, levelScale } from "./levelReference.ts";
import type { Lot } from "./lot.ts";
import { type LotView, lotView } from "./lotView.ts";
import { type Paired, type PressureFigures, pairedWith, pressureFigures, pressureLimit } from "./pressure.ts";
import { type RadioFigures, radioFigures } from "./radio.ts";
import { type Register, type Registered, register } from "./register.ts";
import { type LotBurst, type Said, saidBy } from "./said.ts";
import type { PotReading } from "./settle.ts";
import { type Stage, stagesOf } from "./stages.ts";
import type { Verdict } from "./statistics/decision.ts";
import { type Warning, warningsOf } from "./warnings.ts";

/** What came in for a lot. */
export interface LotHeard {
  readonly telegrams: readonly StoredTelegram[];
  readonly bursts: readonly LotBurst[];
  readonly layouts: readonly Layout[];
  /** Wakes that receivers told of; those by hand are on the lot. */
  readonly wakes: readonly SpecimenWake[];
  /** What gauges told, in order of time. */
  readonly gauge: readonly GaugeAt[];
  /** Title and id of an earlier lot that an identity was in. */
  readonly earlier: (identity: string) => string | undefined;
  /** Of a golden specimen of another lot; `null`: none, or not known. */
  readonly golden: Pick<RadioFigures, "level" | "levelIs"> | null;
  readonly nowMs: number;
  readonly lotId: string;
}

/** A specimen with all that follows for it. */
export interface WorkedSpecimen {
  readonly registered: Registered;
  readonly state: "heard" | "sending, not readable" | "no answer" | "not heard yet";
  readonly says: string;
  readonly said: readonly Said[];
  readonly paired: readonly Paired[];
  readonly pressure: PressureFigures;
  readonly radio: RadioFigures;
  readonly flags: readonly Flag[];
  readonly figures: readonly Figure[];
  /** Set points without enough readings. */
  readonly missing: readonly number[];
  readonly verdict: Verdict;
  readonly because: string;
}

/** All that follows from a lot and what was heard of it. */
export interface WorkedLot {
  readonly air: AmbientAir;
  readonly fills: readonly PotFill[];
  readonly specimens: readonly WorkedSpecimen[];
  readonly others: Register["others"];
  readonly unreadableBursts: number;
  readonly ratio: GaugeRatio | undefined;
  readonly warnings: readonly Warning[];
  readonly stages: readonly Stage[];
  readonly view: LotView;
  readonly counts: Counts;
  readonly acceptance: Acceptance;
}

/** A lot worked out: who is on the bench, what each said against the gauge, and what can be decided. */
export function workOut(lot: Lot, heard: LotHeard): WorkedLot {
  const air = ambientAir(lot.ambientKpa, lot.altitudeM);
  const said = saidBy(heard.telegrams, heard.bursts, heard.layouts, air.kpa);
  const wakes: readonly SpecimenWake[] = [
    ...lot.wakes.map(({ number, at }): SpecimenWake => ({ number, atMs: Date.parse(at), by: "button" })),
    ...heard.wakes,
  ];
  const { specimens, others } = register(lot, bodiesOf(said, wakes), wakes);
  const ofLot = specimens.flatMap(({ body }) => body?.said ?? []).sort((a, b) => a.atMs - b.atMs);
  const limitKpa = Math.max(0, ...lot.setPoints.flatMap(({ kpa }) => pressureLimit(lot.limits, kpa) ?? []));
  const fills = potFills(lot, heard.gauge, readingsOf(ofLot, specimens), limitKpa);
  const measured = specimens.map((registered) => measure(lot, registered, fills, air));
  const unread = heard.bursts
    .filter(({ burst }) => isUnreadable(burst))
    .map((one) => ({ ...one, atMs: Date.parse(one.at) }));
  const common = commonOf(measured);
  const unreadAtWakes = unreadByNumber(wakes, unread, said, lot.limits.carrierHz ?? common.carrierHz);
  const levelOf = levelReference(lot, measured, heard);
  const latestMs = latestOf([...said, ...wakes], heard.nowMs);
  const done = measured.map((one): WorkedSpecimen => {
    const { registered, paired, pressure, radio } = one;
    const { number } = registered;
    const twins = twinsOf(registered, specimens);
    const around: Around = {
      fills,
      twins,
      answeredFor: specimens.flatMap((other) => (other.suspectOf === number ? [other.number] : [])),
      othersAnswered: othersAnswered(specimens, number),
      levelOf,
      airAssumed: air.from === "sea level",
      unreadWakes: registered.body === undefined ? (unreadAtWakes.get(number) ?? 0) : 0,
    };
    const figures = figuresOf(lot, registered, pressure, radio, paired, around);
    return {
      ...one,
      ...stateOf(registered, sendsUnread(around), figures[0]!, latestMs),
      flags: flagsOf(lot, registered, registered.body && radio, twins, common, heard.earlier),
      figures,
      missing: pressure.cells.flatMap(({ setPoint, readings }) => (readings < lot.leastReadings ? [setPoint] : [])),
      ...worst(figures),
    };
  });
  const counting = done.filter(({ registered }) => registered.leftOut === "");
  const count = (verdict: Verdict) => counting.filter((one) => one.verdict === verdict).length;
  const counts: Counts = {
    within: count("within"),
    outside: count("outside"),
    cannotTell: count("cannot tell"),
    leftOut: done.length - counting.length,
  };
  const ratio = gaugeRatio(lot);
  const stages = stagesOf(lot, done, fills);
  const isFinished = stages.slice(0, -1).every(({ state }) => state === "done");
  const acceptance = acceptanceOf(lot, counts, isFinished);
  return {
    air,
    fills,
    specimens: done,
    others,
    unreadableBursts: unread.length,
    ratio,
    warnings: warningsOf(
      lot,
      ratio,
      air,
      {
        tellsAbsolute: ofLot.some(({ absolute }) => absolute),
        beyondDrawn:
          others.filter(({ aside }) => !aside).length +
          specimens.filter(({ number, body }) => body && number > (lot.sample ?? number)).length,
        needed: acceptance.needed,
      },
      heard.nowMs,
    ),
    stages,
    view: viewOf(counting),
    counts,
    acceptance,
  };
}

/** Only those that were read at the same set points have mean errors that can be held against each other. */
function viewOf(counting: readonly WorkedSpecimen[]): LotView {
  const read = counting.filter(({ pressure }) => pressure.meanErrorKpa !== null);
  const groups = [...grouped(read, ({ missing }) => missing.join()).values()];
  const alike = groups.toSorted((a, b) => b.length - a.length)[0] ?? [];
  const others = read.filter((one) => !alike.includes(one));
  const view = lotView(
    alike.map(({ registered, pressure }) => ({ number: registered.number, errorKpa: pressure.meanErrorKpa ?? 0 })),
  );
  if (others.length === 0) return view;
  const numbers = others.map(({ registered }) => registered.number).join(", ");
  return {
    ...view,
    says: [...view.says, `Not among them, since they were not read at the same set points: ${numbers}.`],
  };
}

/** By number: to how many of its wakes came bursts that no layout reads, on about the lot's carrier. */
function unreadByNumber(
  wakes: readonly SpecimenWake[],
  unread: readonly (LotBurst & { readonly atMs: number })[],
  usual: readonly Said[],
  carrierHz: number | null,
): ReadonlyMap<number, number> {
  const near = unread.filter(
    ({ burst }) => carrierHz === null || Math.abs(burst.carrierHz - carrierHz) <= ANOTHER_CARRIER_HZ,
  );
  const counts = new Map<number, number>();
  for (const { wake, prompt } of answersTo(wakes, near, usual)) {
    if (prompt.length > 0) counts.set(wake.number, (counts.get(wake.number) ?? 0) + 1);
  }
  return counts;
}

type Measured = Pick<WorkedSpecimen, "registered" | "said" | "paired" | "pressure" | "radio">;

function measure(lot: Lot, registered: Registered, fills: readonly PotFill[], air: AmbientAir): Measured {
  const said = registered.body?.said ?? [];
  const paired = pairedWith(fills, said);
  return {
    registered,
    said,
    paired,
    pressure: pressureFigures(lot, paired, air),
    radio: radioFigures(said, paired, registered, lot.fixture, lot.limits.carrierHz),
  };
}

function readingsOf(said: readonly Said[], specimens: readonly Registered[]): PotReading[] {
  const numberOf = new Map(
    specimens.flatMap(({ number, body }) => (body?.said ?? []).map(({ id }) => [id, number] as const)),
  );
  return said.flatMap(({ id, atMs, kpa, stepKpa }) =>
    kpa === null ? [] : [{ atMs, by: String(numberOf.get(id) ?? ""), kpa, stepKpa: stepKpa ?? 0 }],
  );
}

function twinsOf({ number, identity }: Registered, all: readonly Registered[]): readonly number[] {
  if (identity === null) return [];
  return all.filter((other) => other.number !== number && other.identity === identity).map((one) => one.number);
}

function othersAnswered(all: readonly Registered[], number: number): number | null {
  const woken = all.filter((other) => other.number !== number && other.wakes.length > 0);
  if (woken.length === 0) return null;
  return woken.filter(({ answered }) => answered.length > 0).length / woken.length;
}

function commonOf(all: readonly Measured[]): Common {
  const heard = all.filter(({ said }) => said.length > 0);
  const layouts = heard.flatMap(({ registered: { body } }) => (body ? [layoutOf(body)] : []));
  const counts = new Map<string, number>();
  for (const layout of layouts) counts.set(layout, (counts.get(layout) ?? 0) + 1);
  const most = [...counts].toSorted((a, b) => b[1] - a[1])[0];
  const carriers = heard.flatMap(({ radio }) => radio.carrierHz ?? []);
  const scale = levelScale(heard.map(({ radio }) => radio));
  return {
    carrierHz: carriers.length < 2 ? null : median(carriers),
    layout: most && most[1] > 1 ? most[0] : null,
    walks: new Map(heard.flatMap(({ registered, radio }) => (radio.walk ? [[registered.number, radio.walk.hz]] : []))),
    levels: new Map(
      heard.flatMap(({ registered, radio }) =>
        radio.level && radio.levelIs === scale ? [[registered.number, radio.level.value]] : [],
      ),
    ),
  };
}

/** The latest moment that is known of: ours, unless all that was heard is of another day. */
function latestOf(all: readonly { readonly atMs: number }[], nowMs: number): number {
  const newest = all.reduce((latest, { atMs }) => Math.max(latest, atMs), Number.NEGATIVE_INFINITY);
  return Math.abs(nowMs - newest) < HOUR_MS ? Math.max(newest, nowMs) : newest;
}

const HOUR_MS = 3_600_000;
/** So long after its wake a specimen may still answer. */
const WAITING_MS = 1000;

function stateOf(
  { body, wakes, by }: Registered,
  isUnread: boolean,
  answer: Figure,
  latestMs: number,
): Pick<WorkedSpecimen, "state" | "says"> {
  if (body) {
    const how = { hand: "as it was written down", wake: "by its wake", order: "in the order first heard" };
    return { state: "heard", says: `Heard; registered ${by === null ? "" : how[by]}.` };
  }
  if (isUnread) return { state: "sending, not readable", says: answer.because };
  if (wakes.some(({ atMs }) => latestMs - atMs < WAITING_MS)) {
    return { state: "not heard yet", says: "Just woken: its answer may still come." };
  }
  if (wakes.length > 0) return { state: "no answer", says: answer.because };
  return { state: "not heard yet", says: answer.because };
}

/** Bodies by identity, for whoever looks one up in another lot. */
export function identitiesOf(lot: Lot): readonly string[] {
  return lot.specimens.flatMap(({ identity }) => (identity === null ? [] : [identity.toLowerCase()]));
}
