import { chance, uniform } from "../noise.ts";

// A car with one hidden fault, as a physical story: what is fitted, what sends, what the air and the receiver are like,
// what the technician did and wrote down. Nothing here knows the likelihoods of the ranking that is put to the test.

export const FAULTS = [
  "not-woken",
  "cell-flat",
  "none-fitted",
  "other-frequency",
  "other-layout",
  "storage",
  "blank",
  "weak",
  "off-tune",
  "interferer-steady",
  "interferer-pulsed",
  "collision",
  "neighbour",
  "overloaded",
  "deaf",
  "wrong-frequency",
  "not-listed",
  "duplicate",
  "copied",
  "pressure-low",
  "vehicle-receiver",
  "list-erased",
  "charger",
  "infers",
] as const;
export type Fault = (typeof FAULTS)[number];

export const WHEELS = ["left front", "right front", "right rear", "left rear"] as const;
export const BANDS = { low: 315e6, high: 433.92e6 } as const;
export type Band = keyof typeof BANDS;

/** What a sensor needs before it answers a wake-up field. */
export type WakeNeed = "nothing" | "closer" | "pattern" | "pressure";

export interface Fitted {
  readonly identity: string;
  readonly band: Band;
  /** A layout that nobody knows. */
  readonly strange: boolean;
  readonly alive: boolean;
  readonly need: WakeNeed;
  readonly storage: boolean;
  readonly blank: boolean;
  /** Eb/N0 at the receiver's place. */
  readonly ebN0Db: number;
  readonly offsetHz: number;
  readonly clockPpm: number;
  readonly gaugeKpa: number;
}

/** A sensor with nothing wrong, but for who and where it is. */
export const SOUND: Omit<Fitted, "identity" | "band"> = {
  strange: false,
  alive: true,
  need: "nothing",
  storage: false,
  blank: false,
  ebN0Db: 30,
  offsetHz: 0,
  clockPpm: 0,
  gaugeKpa: 230,
};

export interface Story {
  readonly seed: number;
  readonly fault: Fault;
  /** The wheel in question. */
  readonly target: (typeof WHEELS)[number];
  readonly vehicleBand: Band;
  /** `undefined`: no sensor in that wheel. */
  readonly fitted: ReadonlyMap<string, Fitted | undefined>;
  readonly placardKpa: number;
  readonly receiver: {
    readonly bands: readonly Band[];
    readonly isDeaf: boolean;
    readonly isOverloaded: boolean;
    /** Level of what overloads it, full scale being 0. */
    readonly overloadDbfs: number;
  };
  readonly air: {
    readonly steady: boolean;
    readonly pulsed: boolean;
    readonly collides: boolean;
    /** A neighbour's sensor that the wake reaches; and one that merely passes by. */
    readonly answering: string | undefined;
    readonly passing: string | undefined;
  };
  readonly vehicle: {
    readonly hasSensors: boolean;
    readonly receiverWorks: boolean;
    readonly isJammed: boolean;
    readonly batteryWasOff: boolean;
    readonly list: "complete" | "lacks it" | "empty" | "twice";
  };
  /** What the technician wrote on the card. */
  readonly card: {
    readonly identitiesKnown: boolean;
    readonly bandKnown: boolean;
    readonly listTyped: boolean;
    readonly newSensor: "no" | "new" | "blank" | "copied";
    readonly ageYears: number | null;
    readonly lamp: "lamp steady" | "lamp flashing" | null;
    /** Of this sensor; `no visit`: the car was never here. */
    readonly earlier: "no visit" | "never" | "sound" | "low battery";
    readonly placardTyped: boolean;
    /** Wheels whose wake was forgotten or missed. */
    readonly missedWakes: ReadonlySet<string>;
  };
}

export function drawStory(fault: Fault, seed: number): Story {
  const random = chance(seed, FAULTS.indexOf(fault));
  const draw = () => uniform(random);
  const happens = (probability: number) => draw() < probability;
  const pick = <T>(all: readonly T[]): T => all[Math.floor(draw() * all.length)]!;
  const between = (low: number, high: number) => low + (high - low) * draw();
  const identity = () =>
    Math.floor(draw() * 0xffffffff)
      .toString(16)
      .padStart(8, "0");
  const is = (...faults: readonly Fault[]) => faults.includes(fault);

  const target = pick(WHEELS);
  const vehicleBand: Band = happens(0.55) ? "high" : "low";
  const otherBand: Band = vehicleBand === "high" ? "low" : "high";
  const placardKpa = pick([220, 230, 240, 250]);
  const carAge = between(0.5, 12);
  const identities = new Map(WHEELS.map((wheel) => [wheel as string, identity()]));
  const fitted = new Map<string, Fitted | undefined>();
  for (const wheel of WHEELS) {
    const isTarget = wheel === target;
    const sound: Fitted = {
      ...SOUND,
      identity: identities.get(wheel)!,
      band: vehicleBand,
      ebN0Db: between(24, 34),
      offsetHz: between(-9e3, 9e3),
      clockPpm: between(-150, 150),
      gaugeKpa: placardKpa * between(0.95, 1.08),
    };
    const own = isTarget ? atFault(sound, fault, { otherBand, draw, between, pick }) : sound;
    fitted.set(wheel, is("infers") || (isTarget && is("none-fitted")) ? undefined : own);
  }
  if (is("duplicate")) {
    const other = WHEELS[(WHEELS.indexOf(target) + 1) % 4]!;
    const own = fitted.get(target);
    if (own) fitted.set(target, { ...own, identity: identities.get(other)! });
  }
  if (is("other-layout") && happens(0.3)) {
    // All of the car's sensors are of a kind that nobody knows here.
    for (const [wheel, one] of fitted) fitted.set(wheel, one && { ...one, strange: true });
  }
  if (is("collision")) {
    // Answers as strong as its neighbour's and on the same frequency: neither is read through the other.
    const other = fitted.get(beforeOnWalk(target));
    const own = fitted.get(target);
    if (own && other) {
      fitted.set(target, { ...own, ebN0Db: other.ebN0Db, offsetHz: other.offsetHz + between(-400, 400) });
    }
  }
  if (is("pressure-low")) {
    const low = fitted.get(target);
    if (low) fitted.set(target, { ...low, gaugeKpa: placardKpa * between(0.5, 0.7) });
  }
  const isNewPart =
    is("storage", "blank", "copied") || (is("not-listed", "other-frequency", "other-layout") && happens(0.55));
  const isWritten = happens(0.88);
  const bands: Band[] = is("wrong-frequency") ? [otherBand] : happens(0.35) ? [vehicleBand, otherBand] : [vehicleBand];
  const missed = new Set(WHEELS.filter((wheel) => wheel !== target && happens(0.05)) as readonly string[]);
  return {
    seed,
    fault,
    target,
    vehicleBand,
    fitted,
    placardKpa,
    receiver: { bands, isDeaf: is("deaf"), isOverloaded: is("overloaded"), overloadDbfs: between(4, 15) },
    air: {
      steady: is("interferer-steady"),
      pulsed: is("interferer-pulsed"),
      collides: is("collision"),
      answering: is("neighbour") ? identity() : undefined,
      passing: happens(0.18) ? identity() : undefined,
    },
    vehicle: {
      hasSensors: !is("infers"),
      receiverWorks: !is("vehicle-receiver"),
      isJammed: is("charger"),
      batteryWasOff: is("list-erased") ? happens(0.85) : happens(0.06),
      list: is("not-listed")
        ? "lacks it"
        : is("list-erased")
          ? "empty"
          : is("duplicate") && happens(0.6)
            ? "twice"
            : isNewPart && !is("copied") && happens(0.7)
              ? "lacks it"
              : "complete",
    },
    card: {
      identitiesKnown: happens(0.6),
      bandKnown: happens(0.55),
      listTyped: happens(0.3),
      newSensor:
        !isNewPart || !isWritten ? "no" : is("copied") ? "copied" : is("blank") && happens(0.7) ? "blank" : "new",
      ageYears: happens(0.45) ? (isNewPart ? 0 : is("cell-flat") ? between(6.5, 13) : carAge) : null,
      lamp: lampOf(fault, happens),
      earlier: !happens(0.45)
        ? "no visit"
        : isNewPart || is("none-fitted")
          ? "never"
          : is("cell-flat") && happens(0.5)
            ? "low battery"
            : "sound",
      placardTyped: happens(0.92),
      missedWakes: missed,
    },
  };
}

/** The wheel that is woken before this one. */
function beforeOnWalk(wheel: (typeof WHEELS)[number]): (typeof WHEELS)[number] {
  return WHEELS[(WHEELS.indexOf(wheel) + 3) % 4]!;
}

interface Dice {
  readonly otherBand: Band;
  readonly draw: () => number;
  readonly between: (low: number, high: number) => number;
  readonly pick: <T>(all: readonly T[]) => T;
}

/** The sensor of the wheel in question, with what is wrong with it. */
function atFault(sound: Fitted, fault: Fault, { otherBand, draw, between, pick }: Dice): Fitted {
  switch (fault) {
    case "not-woken": {
      const dice = draw();
      return { ...sound, need: dice < 0.45 ? "closer" : dice < 0.85 ? "pattern" : "pressure" };
    }
    case "neighbour":
      return { ...sound, need: draw() < 0.7 ? "closer" : "pattern" };
    case "cell-flat":
      return { ...sound, alive: false };
    case "other-frequency":
      return { ...sound, band: otherBand };
    case "other-layout":
      return { ...sound, strange: true };
    case "storage":
      return { ...sound, storage: true };
    case "blank":
      return { ...sound, blank: true };
    case "weak":
      return { ...sound, ebN0Db: between(-3, 4.5) };
    case "off-tune":
      return { ...sound, clockPpm: pick([-1, 1]) * between(28_000, 48_000), offsetHz: between(-9e3, 9e3) };
    default:
      return sound;
  }
}

/** A lamp flashes for what the vehicle misses and is steady for a low tyre; the driver tells it right in nine of ten. */
function lampOf(fault: Fault, happens: (probability: number) => boolean): Story["card"]["lamp"] {
  if (happens(0.2)) return null;
  const missesNothing: readonly Fault[] = ["pressure-low", "infers", "copied"];
  const receiverOnly: readonly Fault[] = [
    "deaf",
    "overloaded",
    "wrong-frequency",
    "collision",
    "not-woken",
    "neighbour",
  ];
  if (fault === "copied") return happens(0.1) ? "lamp flashing" : null;
  // What is wrong on our side alone says nothing of why the car came.
  if (receiverOnly.includes(fault)) return happens(0.5) ? "lamp flashing" : "lamp steady";
  const steady = missesNothing.includes(fault);
  return steady === happens(0.92) ? "lamp steady" : "lamp flashing";
}
