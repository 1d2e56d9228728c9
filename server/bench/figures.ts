import { mean } from "simple-statistics";
import { type Figure, judged, plain, untold } from "./figure.ts";
import type { PotFill } from "./fills.ts";
import type { Lot } from "./lot.ts";
import { type Cell, type Paired, type PressureFigures, pressureLimit } from "./pressure.ts";
import { carrierLimitHz, type Measured, type RadioFigures } from "./radio.ts";
import type { Registered } from "./register.ts";
import { type BudgetPart, bound, combine, repeats } from "./statistics/budget.ts";
import type { Verdict } from "./statistics/decision.ts";
import { ofTheFarthest, pooled } from "./statistics/scatter.ts";

/** What is known of a specimen beside its own figures. */
export interface Around {
  readonly fills: readonly PotFill[];
  /** Other specimens with the same identity. */
  readonly twins: readonly number[];
  /** Others whose wakes it answered in their place. */
  readonly answeredFor: readonly number[];
  /** Share of the other specimens that were woken and answered; `null`: none was. */
  readonly othersAnswered: number | null;
  /** What levels are held against; `null`: nothing to hold them against. */
  readonly levelOf: LevelReference | null;
  /** Whether nobody entered the air outside, which an absolute reading has to be freed of. */
  readonly airAssumed: boolean;
  /** How many of its wakes were answered by bursts that no layout reads. */
  readonly unreadWakes: number;
}

/** A level that others are held against. */
export interface LevelReference {
  readonly value: number;
  /** Levels are told on two scales, between which nothing is known. */
  readonly is: RadioFigures["levelIs"];
  readonly parts: readonly BudgetPart[];
  readonly says: string;
}

/** So often in vain a specimen has to be woken, while others answer, before it counts as dumb. */
const LEAST_WAKES = 2;
const OTHERS_ANSWER = 0.8;

/** Every figure that a limit or the sheet asks for, in the order of the work. */
export function figuresOf(
  lot: Lot,
  specimen: Registered,
  pressure: PressureFigures,
  radio: RadioFigures,
  paired: readonly Paired[],
  around: Around,
): readonly Figure[] {
  const answer = answerFigure(specimen, around);
  if (!specimen.body) return around.twins.length > 0 ? [answer, identityFigure(lot, specimen, around)] : [answer];
  return [
    answer,
    identityFigure(lot, specimen, around),
    ...layoutFigure(lot, specimen),
    ...batteryFigure(lot, radio),
    ...pressureFiguresOf(lot, pressure, {
      ...around,
      airAssumed: around.airAssumed && paired.some(({ said }) => said.absolute),
    }),
    ...temperatureFigures(lot, paired, around.fills),
    ...radioFiguresOf(lot, radio, around),
  ];
}

/** One burst at one wake may be anybody's. */
export function sendsUnread({ unreadWakes }: Pick<Around, "unreadWakes">): boolean {
  return unreadWakes >= LEAST_WAKES;
}

function answerFigure({ body, wakes }: Registered, around: Around): Figure {
  const named = { key: "answer", of: "Answer" } as const;
  const { othersAnswered, unreadWakes } = around;
  if (body) return plain(named, "within", "It was heard.");
  if (sendsUnread(around)) {
    return plain(named, "outside", `It answers its wakes with bursts that no layout reads, ${unreadWakes} of them so.`);
  }
  if (wakes.length === 0) return plain(named, "cannot tell", "It was not heard, and no wake of it is marked.");
  const times = wakes.length === 1 ? "once" : `${wakes.length} times`;
  const unread = unreadWakes === 0 ? "" : " To one wake came a burst that no layout reads, which may be anybody's.";
  if (wakes.length - unreadWakes >= LEAST_WAKES && (othersAnswered ?? 0) >= OTHERS_ANSWER) {
    const share = Math.round(100 * (othersAnswered ?? 0));
    return plain(
      named,
      "outside",
      `It was woken ${times} without an answer; of the others ${share} % answered theirs.${unread}`,
    );
  }
  const isWokenEnough = wakes.length - unreadWakes >= LEAST_WAKES;
  const next = isWokenEnough ? "Too few others answered to say that we hear well." : "Wake it again.";
  return plain(named, "cannot tell", `It was woken ${times} without an answer.${unread} ${next}`);
}

function identityFigure(lot: Lot, { identity: known, suspectOf }: Registered, around: Around): Figure {
  const named = { key: "identity", of: "Identity" } as const;
  const { twins, answeredFor } = around;
  const identity = known ?? "";
  if (twins.length > 0) {
    return plain(named, "outside", `${identity} is the identity of specimen ${twins.join(" and ")} too.`);
  }
  if (suspectOf !== null) return plain(named, "cannot tell", `Specimen ${suspectOf} answered its wake.`);
  if (!fitsFormat(identity, lot.limits.identity)) {
    return plain(named, "outside", `${identity} does not have the form ${lot.limits.identity}.`);
  }
  if (answeredFor.length > 0) {
    const others = answeredFor.join(" and ");
    return plain(
      named,
      "cannot tell",
      `${identity} answered the wake of specimen ${others} too: may be two bodies. Take this one away and wake ${others} again.`,
    );
  }
  const form = lot.limits.identity === "" ? "" : `, of the form ${lot.limits.identity}`;
  return plain(named, "within", `${identity}, once in this lot${form}.`);
}

/** @param form Hex digits that it begins with, a question mark for any; empty for any. */
export function fitsFormat(identity: string, form: string): boolean {
  return identity.length >= form.length && [...form].every((char, i) => char === "?" || char === identity[i]);
}

function layoutFigure({ limits }: Lot, { body }: Registered): Figure[] {
  if (limits.layout === "" || !body) return [];
  const layouts = [...new Set(body.said.map(({ layout }) => layout))];
  const others = layouts.filter((layout) => layout !== limits.layout);
  const named = { key: "layout", of: "Layout" } as const;
  if (others.length === 0) return [plain(named, "within", `It speaks ${limits.layout}.`)];
  return [plain(named, "outside", `It speaks ${others.join(" and ")}, not ${limits.layout}.`)];
}

function batteryFigure({ limits }: Lot, { batteryLow }: RadioFigures): Figure[] {
  if (!limits.batteryGood) return [];
  const named = { key: "battery", of: "Battery" } as const;
  if (batteryLow === null) return [plain(named, "cannot tell", "It does not tell how its battery is.")];
  if (batteryLow) return [plain(named, "outside", "It says that its battery is low.")];
  return [plain(named, "within", "It says that its battery is good.")];
}

function pressureFiguresOf(
  lot: Lot,
  { cells }: PressureFigures,
  { fills, airAssumed }: Pick<Around, "fills" | "airAssumed">,
): Figure[] {
  if (cells.length > 0) return cells.map((cell) => pressureFigure(lot, cell, fills, airAssumed));
  const named = { key: "pressure", of: "Pressure", setPoint: null, unit: "kPa" } as const;
  return [untold(named, { lower: null, upper: null }, "No set point is entered.")];
}

function pressureFigure(lot: Lot, cell: Cell, fills: readonly PotFill[], airAssumed: boolean): Figure {
  const point = lot.setPoints[cell.setPoint]!;
  const named = {
    key: "pressure",
    of: `Pressure at ${point.kpa} kPa, ${point.way}`,
    setPoint: cell.setPoint,
    unit: "kPa",
  } as const;
  const half = pressureLimit(lot.limits, cell.gaugeKpa ?? point.kpa);
  const limits = { lower: half === null ? null : -half, upper: half };
  if (half === null) return untold(named, limits, "No limit for pressure is entered.");
  const fill = fills.filter(({ setPoint }) => setPoint === cell.setPoint);
  if (fill.length === 0) return untold(named, limits, "Not tested: the gauge was not written down at it.");
  const doubt = fill.find((one) => one.doubt !== null)?.doubt;
  if (doubt) return untold(named, limits, doubt);
  if (!fill.some(({ settled }) => settled)) return untold(named, limits, "The pot did not stand still.");
  if (cell.readings < lot.leastReadings || cell.errorKpa === null) {
    return untold(named, limits, `${cell.readings} of ${lot.leastReadings} readings.`);
  }
  if (cell.budget === null) return untold(named, limits, "Nobody entered how good the gauge is.");
  if (airAssumed) {
    const because =
      "It tells absolute pressure, and the air outside is only assumed: enter a barometer or the altitude.";
    return untold(named, limits, because);
  }
  return judged(named, cell.errorKpa, cell.budget, limits, lot.rule);
}

/** The sensor's thermometer against the one in the pot: its worst fill. */
function temperatureFigures(lot: Lot, paired: readonly Paired[], fills: readonly PotFill[]): Figure[] {
  const half = lot.limits.temperatureC;
  if (half === null) return [];
  const named = { key: "temperature", of: "Temperature", setPoint: null, unit: "°C" } as const;
  const limits = { lower: -half, upper: half };
  const { temperatureErrorC, temperatureResolutionC } = lot.gauge;
  const errors = fills.flatMap((fill) => {
    const { temperatureC } = fill;
    const own = paired.flatMap(({ said, fill: of }) =>
      of === fill && said.temperatureC !== null ? [said.temperatureC] : [],
    );
    return temperatureC === null || own.length === 0 ? [] : [{ told: own, error: mean(own) - temperatureC }];
  });
  if (errors.length === 0) return [untold(named, limits, "No thermometer was read in the pot.")];
  if (temperatureErrorC === null) return [untold(named, limits, "Nobody entered how good the thermometer is.")];
  const worst = errors.reduce((most, one) => (Math.abs(one.error) > Math.abs(most.error) ? one : most));
  const stepC = Math.max(...paired.map(({ said }) => said.stepC ?? 0));
  const scatter = pooled(errors.map(({ told }) => told));
  const left = Math.sqrt(Math.max(0, stepC ** 2 / 12 - (scatter?.deviation ?? 0) ** 2));
  const budget = combine([
    bound("thermometer", temperatureErrorC),
    bound("reading it", (temperatureResolutionC ?? 0) / 2),
    bound("step of the sensor", left * Math.sqrt(3)),
    ...(scatter ? [repeats(ofTheFarthest(scatter, errors.length), worst.told.length)] : []),
  ]);
  return [judged(named, worst.error, budget, limits, lot.rule)];
}

function radioFiguresOf(lot: Lot, radio: RadioFigures, { levelOf }: Around): Figure[] {
  const { limits, rule } = lot;
  const all: Figure[] = [];
  const either = (half: number) => ({ lower: -half, upper: half });
  const carrier = carrierLimitHz(limits);
  const add = (
    named: Pick<Figure, "key" | "of" | "unit">,
    bounds: { readonly lower: number | null; readonly upper: number | null },
    measured: Measured | null,
    value: number | undefined,
    lacking: string,
  ) => {
    const full = { ...named, setPoint: null };
    if (measured === null || value === undefined) all.push(untold(full, bounds, lacking));
    else if (measured.count < 2 && named.key !== "wake")
      all.push(untold(full, bounds, "One telegram alone does not tell it."));
    else all.push(judged(full, value, measured.budget, bounds, rule));
  };
  if (carrier !== null) {
    const named = {
      key: "carrier",
      of: "Carrier, mean of the set point where it is farthest off",
      unit: "Hz",
    } as const;
    const { farthestCarrier } = radio;
    const known = lot.fixture.carrierErrorPpm !== null;
    const lacking = known ? "No carrier was measured." : "Nobody entered how good the receiver's reference is.";
    add(named, either(carrier), farthestCarrier, known ? farthestCarrier?.value : undefined, lacking);
  }
  for (const { of, unit, key } of halfEntered(limits)) {
    all.push(
      untold({ key, of, unit, setPoint: null }, { lower: null, upper: null }, "Only half of its limit is entered."),
    );
  }
  const { deviationHz, deviationOffHz, symbolRate, symbolRateOffPercent, levelDb } = limits;
  if (deviationHz !== null && deviationOffHz !== null) {
    const off = radio.deviation && radio.deviation.value - deviationHz;
    const lacking = "Receivers' lines do not tell it: bring a recording.";
    add(
      { key: "deviation", of: "Deviation", unit: "Hz" },
      either(deviationOffHz),
      radio.deviation,
      off ?? undefined,
      lacking,
    );
  }
  if (symbolRate !== null && symbolRateOffPercent !== null) {
    const off = radio.symbolRate && radio.symbolRate.value - symbolRate;
    const half = (symbolRateOffPercent / 100) * symbolRate;
    const named = { key: "symbol rate", of: "Symbol rate", unit: "symbols/s" } as const;
    add(named, either(half), radio.symbolRate, off ?? undefined, "No symbol rate was measured.");
  }
  if (levelDb !== null) {
    const alike = radio.level && levelOf && radio.levelIs === levelOf.is ? levelOf : null;
    const off = radio.level && alike ? radio.level.value - alike.value : undefined;
    const of = `Level against ${levelOf?.says ?? "the lot"}`;
    const against = radio.level &&
      alike && { ...radio.level, budget: combine([...radio.level.budget.parts, ...alike.parts]) };
    const lacking = levelOf ? "Its level is told on another scale." : "There is no level to hold it against.";
    add({ key: "level", of, unit: "dB" }, either(levelDb), against, off, lacking);
  }
  if (limits.wakeSeconds !== null) {
    const bounds = { lower: null, upper: limits.wakeSeconds };
    const named = { key: "wake", of: "Wake to first telegram, the longest", unit: "s" } as const;
    add(named, bounds, radio.wake, radio.wake?.value, "No wake of it is marked.");
  }
  const { telegramsPerWakeLeast: least, telegramsPerWakeMost: most } = limits;
  if (least !== null || most !== null) all.push(perWakeFigure(radio, least, most));
  return all;
}

function perWakeFigure({ perWake }: RadioFigures, least: number | null, most: number | null): Figure {
  const named = { key: "telegrams per wake", of: "Telegrams per wake" } as const;
  if (!perWake) return plain(named, "cannot tell", "No wake of it is marked.");
  const told = perWake.least === perWake.most ? `${perWake.least}` : `${perWake.least} to ${perWake.most}`;
  if (least !== null && perWake.leastWhole !== null && perWake.leastWhole < least) {
    return plain(named, "outside", `${told} telegrams came of a wake; at least ${least} are asked for.`);
  }
  if (most !== null && perWake.most > most) {
    return plain(named, "outside", `${told} telegrams came of a wake; at most ${most} are asked for.`);
  }
  if ((least !== null && perWake.least < least) || (most !== null && perWake.mayGoOn)) {
    const asked = least !== null && perWake.least < least ? `at least ${least}` : `at most ${most}`;
    const next = "The next wake came too soon to tell: wake it again and wait 15 s.";
    return plain(named, "cannot tell", `${told} telegrams came of a wake; ${asked} are asked for. ${next}`);
  }
  return plain(named, "within", `${told} telegrams came of a wake.`);
}

/** Outside as soon as one figure is; within only where every one is. */
export function worst(figures: readonly Figure[]): { readonly verdict: Verdict; readonly because: string } {
  const outside = figures.filter(({ verdict }) => verdict === "outside");
  const unsure = figures.filter(({ verdict }) => verdict === "cannot tell");
  const [first] = (outside.length > 0 ? outside : unsure).toSorted((a, b) => beyondLimit(b) - beyondLimit(a));
  if (!first) return { verdict: "within", because: `All ${figures.length} figures are within their limits.` };
  const list = outside.length > 0 ? outside : unsure;
  const rest = list.length > 1 ? ` And ${list.length - 1} more.` : "";
  return { verdict: first.verdict, because: `${first.of}: ${first.because}${rest}` };
}

/** What a limit was begun for and not ended: a tolerance without what it is about, or the other way round. */
export function halfEntered(limits: Lot["limits"]): readonly Pick<Figure, "key" | "of" | "unit">[] {
  const { carrierHz, carrierOff, deviationHz, deviationOffHz, symbolRate, symbolRateOffPercent } = limits;
  const half: Pick<Figure, "key" | "of" | "unit">[] = [];
  if (carrierOff !== null && carrierHz === null) half.push({ key: "carrier", of: "Carrier", unit: "Hz" });
  if ((deviationHz === null) !== (deviationOffHz === null))
    half.push({ key: "deviation", of: "Deviation", unit: "Hz" });
  if ((symbolRate === null) !== (symbolRateOffPercent === null)) {
    half.push({ key: "symbol rate", of: "Symbol rate", unit: "symbols/s" });
  }
  return half;
}

/** By how many half widths a figure lies beyond its limits; what is no number comes first. */
function beyondLimit({ value, lower, upper }: Figure): number {
  const half = upper ?? (lower === null ? null : -lower);
  if (value === null || half === null || half === 0) return value === null ? 1e9 : 0;
  return Math.abs(value) / Math.abs(half) - 1;
}
