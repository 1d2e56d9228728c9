import { emptyLot } from "../../server/bench/lot.ts";
import { type FigureBody, LotBody, type SpecimenBody } from "../../server/http/wire/lots.ts";

export interface LotAsked {
  readonly count?: number;
  readonly setPoints?: LotBody["setPoints"];
  /** Numbers of the specimens that read 7.2 kPa too much, that read 4.6 kPa too much, that do not answer, and that do not count. */
  readonly outside?: readonly number[];
  readonly near?: readonly number[];
  readonly silent?: readonly number[];
  readonly leftOut?: readonly number[];
  /** Over all that follows from the others. */
  readonly more?: Partial<LotBody>;
}

const LIMIT_KPA = 5;
const EXPANDED_KPA = 0.93;

/**
 * A lot as the server gives it: made by hand, its figures from a formula, so that nothing of what works out lots is in it.
 *
 * @throws ZodError if it is not what goes over the wire.
 */
export function lotBody({
  count = 20,
  setPoints = emptyLot().setPoints,
  outside = [6, 11],
  near = [14],
  silent = [17],
  leftOut = [20],
  more = {},
}: LotAsked = {}): LotBody {
  const rows = Array.from({ length: count }, (_, i) => {
    const number = i + 1;
    const shiftKpa = outside.includes(number) ? 7.2 : near.includes(number) ? 4.6 : undefined;
    const why = leftOut.includes(number) ? "Valve stem broken when it was put into the pot" : "";
    return specimen(number, setPoints, shiftKpa, silent.includes(number), why);
  });
  const having = (verdict: SpecimenBody["verdict"]) =>
    rows.filter((row) => row.leftOut === "" && row.verdict === verdict).length;
  const counts = {
    within: having("within"),
    outside: having("outside"),
    cannotTell: having("cannot tell"),
    leftOut: rows.filter((row) => row.leftOut !== "").length,
  };
  const sample = counts.within + counts.outside + counts.cannotTell;
  return LotBody.parse({
    ...emptyLot(),
    setPoints,
    id: "7Q4X",
    revision: 12,
    createdAt: "2026-11-25T09:00:00.000000Z",
    changedAt: "2026-11-25T10:40:00.000000Z",
    sampleOfHouse: false,
    clock: "2026-11-25T10:41:00.000000Z",
    title: "Snap-in sensors, November",
    supplier: "Harbour Parts",
    part: "HP-433 snap-in",
    quantity: 500,
    sample: count === 0 ? null : count,
    drawn: "Every 25th of the box, lid to bottom",
    limits: {
      ...emptyLot().limits,
      pressureKpa: LIMIT_KPA,
      temperatureC: 3,
      carrierHz: 433_920_000,
      carrierOff: 50_000,
      levelDb: 6,
      wakeSeconds: 2,
      identity: "5e1?????",
    },
    gauge: {
      name: "Shop gauge G1",
      stated: "limit of error",
      errorKpa: 0.5,
      coverage: 2,
      resolutionKpa: 0.1,
      calibratedOn: "2026-03-03",
      temperatureErrorC: 0.5,
      temperatureResolutionC: 0.1,
    },
    fixture: { ...emptyLot().fixture, ratedKpa: 600, notes: "Twenty fit side by side." },
    ambientKpa: 98.4,
    altitudeM: 190,
    testedBy: "R. Example",
    remarks: "The box was opened on the bench.\nTwo were wrapped differently.",
    listening: [{ from: "2026-11-25T09:50:00Z", to: "2026-11-25T10:40:00Z" }],
    gaugeLogs: [],
    gaugeLine: null,
    stages: [],
    warnings: [{ strength: "look here", says: "The thermometer was calibrated more than a year ago" }],
    ratio: {
      ratio: 8.6,
      enough: true,
      gaugeExpandedKpa: 0.58,
      neededExpandedKpa: 1.25,
      widestWithinKpa: 4.42,
      says: "The limit is 8.6 times the gauge's uncertainty: good enough, 4 times is asked for",
    },
    workedFills: setPoints.map(({ kpa }, i) => ({
      id: `f${i + 1}`,
      from: "entry",
      setPoint: i,
      gaugeKpa: kpa + 0.3,
      gaugeMovedKpa: null,
      temperatureC: 20.6 + i * 0.4,
      at: minuteAfter(10, i * 3),
      endedAt: minuteAfter(10, i * 3 + 3),
      settledFrom: minuteAfter(10, i * 3 + 1),
      settledTo: minuteAfter(10, i * 3 + 3),
      used: 4 * count,
      leftOut: i === 0 ? 7 : 0,
      says: "Settled after 41 s",
    })),
    rows,
    others: [{ identity: "77aa01cd", telegrams: 3, because: "heard before the first wake", aside: false }],
    unreadableBursts: 2,
    lotView: {
      count: count === 0 ? 0 : sample,
      medianKpa: count === 0 ? null : -0.42,
      spreadKpa: count === 0 ? null : 0.63,
      odd: outside.map((number) => ({ number, by: "modified z-score", says: "its mean error lies 12 spreads off" })),
      tolerance:
        count === 0
          ? null
          : { fromKpa: -2.31, toKpa: 1.47, share: 0.9, confidence: 0.95, factor: 2.31, says: "If errors are normal" },
      says: [],
    },
    acceptance: {
      sample,
      accept: 0,
      lotSize: 500,
      outside: counts.outside,
      cannotTell: counts.cannotTell,
      within: counts.within,
      verdict: count === 0 ? "not finished" : counts.outside > 0 ? "reject" : "cannot tell",
      because: count === 0 ? "Nothing was tested" : `${counts.outside} outside, at most 0 allowed`,
      producerRisk: count === 0 ? null : 1 - 0.99 ** sample,
      consumerRisk: count === 0 ? null : 0.9 ** sample,
      curve:
        count === 0
          ? []
          : Array.from({ length: 101 }, (_, i) => ({ percent: i / 2, probability: (1 - i / 200) ** sample })),
      needed: { sample: 52, accept: 2 },
      share: { fromPercent: 1, toPercent: 30 },
    },
    counts,
    ruleSays: "Guarded: within only where the error and its uncertainty both stay inside the limit.",
    notTested: ["Rolling wake, and the telegrams of a rolling wheel", "Alert on fast loss of air", "Life of the cell"],
    ...more,
  });
}

function specimen(
  number: number,
  setPoints: LotBody["setPoints"],
  shiftKpa: number | undefined,
  silent: boolean,
  leftOut: string,
): SpecimenBody {
  const cells = setPoints.map((_, setPoint): SpecimenBody["cells"][number] => {
    if (silent) return { setPoint, readings: 0, meanKpa: null, errorKpa: null, expandedKpa: null, verdict: null };
    const errorKpa = (shiftKpa ?? -0.42) + 0.8 * Math.sin(number * 2.4 + setPoint);
    const gaugeKpa = (setPoints[setPoint]?.kpa ?? 0) + 0.3;
    return {
      setPoint,
      readings: 4,
      meanKpa: gaugeKpa + errorKpa,
      errorKpa,
      expandedKpa: EXPANDED_KPA,
      verdict: verdictOf(errorKpa),
    };
  });
  const worst =
    cells.find(({ verdict }) => verdict === "outside") ?? cells.find((cell) => cell.verdict === "cannot tell");
  const verdict = silent ? "outside" : (worst?.verdict ?? "within");
  const figures = cells.flatMap((cell): FigureBody[] => {
    if (cell.errorKpa === null || cell.meanKpa === null || cell.verdict === null) return [];
    const gaugeKpa = cell.meanKpa - cell.errorKpa;
    return [
      {
        key: "pressure",
        of: "Pressure",
        setPoint: cell.setPoint,
        value: cell.meanKpa,
        unit: "kPa",
        lower: gaugeKpa - LIMIT_KPA,
        upper: gaugeKpa + LIMIT_KPA,
        expanded: EXPANDED_KPA,
        acceptFrom: null,
        acceptTo: null,
        rejectBelow: null,
        rejectAbove: null,
        verdict: cell.verdict,
        because: "It is held against the gauge",
      },
    ];
  });
  const battery: FigureBody = {
    key: "battery",
    of: "Battery flag",
    setPoint: null,
    value: 1,
    unit: "",
    lower: null,
    upper: null,
    expanded: null,
    acceptFrom: null,
    acceptTo: null,
    rejectBelow: null,
    rejectAbove: null,
    verdict: "within",
    because: "The flag says good",
  };
  return {
    number,
    identity: silent ? null : `5e1${(0xa0b3c + number * 0x1357).toString(16).slice(-5)}`,
    body: "",
    label: "",
    note: "",
    leftOut,
    state: silent ? "no answer" : "heard",
    says: silent ? "It was woken three times and never answered" : "Heard",
    registeredBy: "wake",
    telegrams: silent ? 0 : 22,
    lastAt: silent ? null : minuteAfter(10, 16),
    wakes: 3,
    flags:
      worst && worst.verdict === "outside" ? [{ kind: "carrier", says: "Its carrier is 31 kHz from the others" }] : [],
    cells,
    missing: silent ? setPoints.map((_, i) => i) : [],
    linearityKpa: silent ? null : 0.3,
    hysteresisKpa: silent ? null : 0.2,
    repeatabilityKpa: silent ? null : 0.1,
    meanErrorKpa: silent ? null : (shiftKpa ?? -0.42),
    carrierOffsetHz: silent ? null : -4200 + number * 310,
    carrierWalkHz: silent ? null : 120,
    deviationHz: silent ? null : 35_000,
    symbolRate: silent ? null : 19_200,
    levelDb: silent ? null : -32 - (number % 5),
    wakeSeconds: silent ? null : 0.4,
    telegramsPerWake: silent ? null : 3,
    figures: silent ? [] : [...figures, battery],
    verdict,
    because: silent
      ? "It did not answer three wakes while the others did"
      : worst
        ? `Its error at set point ${worst.setPoint + 1} is ${worst.errorKpa?.toFixed(2)} kPa, the limit is 5 kPa`
        : "Every figure keeps its limit",
  };
}

function verdictOf(errorKpa: number): SpecimenBody["verdict"] {
  if (Math.abs(errorKpa) + EXPANDED_KPA <= LIMIT_KPA) return "within";
  return Math.abs(errorKpa) - EXPANDED_KPA > LIMIT_KPA ? "outside" : "cannot tell";
}

function minuteAfter(hour: number, minutes: number): string {
  return new Date(Date.UTC(2026, 10, 25, hour, minutes)).toISOString();
}
