import type { TelegramRecord } from "../../decoders/records.ts";
import { ambientAir } from "./pressure/ambientAir.ts";
import { type Circumstances, judgePressure } from "./pressure/judge.ts";
import { coldWords } from "./pressure/verdict.ts";
import type { Reading } from "./reading.ts";

export type Strength = "as expected" | "look here" | "stop";

/** What a wheel line says of its wheel, in words of the bay, with the caution that belongs to it. */
export interface Finding {
  readonly strength: Strength;
  readonly finding: string;
}

/**
 * What is found of a wheel whose sensor was heard: its tyre first, then its sensor.
 *
 * @param circumstances What the card says of this visit; left out, the pressure is judged as it was read.
 * @param saidOutright What sets the sensor apart, a sentence each.
 */
export function heardFinding(
  reading: Reading,
  placardKpa: number | null,
  telegram: TelegramRecord,
  sameIdentity: readonly string[],
  circumstances: Circumstances = UNANSWERED,
  saidOutright: readonly string[] = [],
): Finding {
  const parts = [pressureFinding(reading, placardKpa, circumstances)];
  if (!reading.temperaturePlausible) {
    parts.push(look("Its temperature lies outside what this sensor can measure: do not rely on it."));
  }
  for (const words of saidOutright) parts.push(look(words));
  if (reading.battery === "low") parts.push(look("Battery low: this sensor will fall silent, plan a new one."));
  if (sameIdentity.length > 0) {
    parts.push(look(`Same sensor ID as ${sameIdentity.join(" and ")}: correct one of them, or look for a twin.`));
  }
  if (telegram.repairedBits > 0) {
    const bits = telegram.repairedBits === 1 ? "One bit was" : `${telegram.repairedBits} bits were`;
    parts.push(fine(`${bits} repaired in this telegram, right but for ${oneIn(telegram.falseAcceptProbability)}.`));
  }
  return together(parts);
}

/** What is known where a wheel was not heard. */
export interface Silence {
  readonly identity: string | null;
  /** How many sensors were heard besides, and how many of these no wheel has. */
  readonly heardCount: number;
  readonly otherCount: number;
  /** How likely a telegram of this identity that was not verified is false; `null` where none came. */
  readonly unverified: number | null;
  /** Bursts that no layout reads, of which any silent wheel may have sent some. */
  readonly unreadableCount: number;
}

/** What is found of a wheel that was not heard. The tyre comes before the sensor. */
export function silentFinding(silence: Silence): Finding {
  const { identity, heardCount, otherCount, unverified, unreadableCount } = silence;
  const parts = ["Not heard: look at the tyre before the sensor."];
  if (identity === null) {
    parts.push(
      otherCount > 0
        ? `It has no sensor ID yet: choose ${otherCount === 1 ? "the one" : `one of the ${otherCount}`} heard that no wheel has, or wake this wheel.`
        : "It has no sensor ID yet: wake this wheel.",
    );
  } else if (unverified !== null) {
    parts.push(
      `A telegram with this sensor ID came in but could not be verified, ${oneIn(unverified)} by chance: go closer and wake it again.`,
    );
  } else if (heardCount > 0) {
    parts.push(`Could we have heard it? ${counted(heardCount, "other sensor")} came in: wake this wheel again.`);
  } else {
    parts.push("Could we have heard it? Nothing was heard at all: check the receiver, then wake the wheels.");
  }
  if (unreadableCount > 0) {
    parts.push(`${counted(unreadableCount, "burst")} came in that no layout reads, it may be among them.`);
  }
  return look(parts.join(" "));
}

/** What is found where the one silent wheel is the likely sender of bursts that no layout reads. */
export function unreadableFinding(described: string, likeSiblings: boolean): Finding {
  return look(
    `Something sends that no layout reads: ${described}${likeSiblings ? ", like its siblings" : ""}. It may be this wheel: compare it with a good one, and check the tyre with a hand gauge.`,
  );
}

/** What is found where bursts that no layout reads came at the wake of this wheel. */
export function answeredUnreadable(described: string, copies: number, likeSiblings: boolean): Finding {
  const often = copies === 1 ? "once" : `${copies} times`;
  return look(
    `It answered its wake ${often}, but no layout reads it: ${described}${likeSiblings ? ", like its siblings" : ""}. Check the tyre with a hand gauge and write the figure down: such figures teach the layout.`,
  );
}

function pressureFinding(reading: Reading, placardKpa: number | null, circumstances: Circumstances): Finding {
  const { gaugeKpa, ambientKpa, pressurePlausible } = reading;
  const answered =
    circumstances.handGauge !== null || circumstances.ambientC !== null || circumstances.drivenWithin3h !== null;
  if (circumstances.handGauge === null) {
    if (gaugeKpa === null) return look("Heard, but its pressure cannot be told: check with a hand gauge.");
    if (!pressurePlausible) {
      return look("Its pressure lies outside what this sensor can measure: check with a hand gauge.");
    }
  }
  // Unanswered, the reading stays above the air that it was counted above.
  const air = answered || ambientKpa === null ? circumstances.air : { ...circumstances.air, kpa: ambientKpa };
  const judged = judgePressure(reading, { ...circumstances, air }, placardKpa);
  if (judged === null) return look("Heard, but its pressure cannot be told: check with a hand gauge.");
  const { verdict, cold, comparison, trap } = judged;
  const { strength, words, belowPercent } = verdict;
  const parts: Finding[] = [{ strength, finding: words }];
  if (cold.kind === "cold-equivalent" && placardKpa !== null && belowPercent !== null) {
    parts.push(fine(coldWords(cold, placardKpa)));
  }
  if (comparison !== null) parts.push(comparison.agrees ? fine(comparison.words) : look(comparison.words));
  if (answered && trap !== null) parts.push(fine(trap.words));
  if (circumstances.air.doubt !== "") parts.push(look(circumstances.air.doubt));
  const low = belowPercent !== null && belowPercent > 0 && verdict.verdict !== "as expected";
  if (low && judged.of === "sensor") {
    const added = outside(
      answered && ambientKpa !== null
        ? { ambientKpa: air.kpa, seaLevel: air.from === "sea level" }
        : { ambientKpa, seaLevel: reading.ambientAssumed },
    );
    if (added !== "") parts.push(fine(added));
  }
  return together(parts);
}

const UNANSWERED: Circumstances = {
  ambientC: null,
  drivenWithin3h: null,
  handGauge: null,
  air: ambientAir(null, null),
};

/** Higher up the air outside is thinner, and a tyre holds more than an absolute reading seems to say. */
function outside({ ambientKpa, seaLevel }: { readonly ambientKpa: number | null; readonly seaLevel: boolean }): string {
  if (ambientKpa === null) return "";
  const counted = `Counted above ${ambientKpa.toFixed(1)} kPa outside`;
  return seaLevel ? `${counted} (sea level): enter the barometer if you are higher.` : `${counted}.`;
}

/** The strongest of the strengths, all of the words. */
function together(parts: readonly Finding[]): Finding {
  const strengths = parts.map(({ strength }) => strength);
  const strength = ORDER.findLast((one) => strengths.includes(one)) ?? "as expected";
  return { strength, finding: parts.map(({ finding }) => finding).join(" ") };
}

const ORDER: readonly Strength[] = ["as expected", "look here", "stop"];

function look(finding: string): Finding {
  return { strength: "look here", finding };
}

function fine(finding: string): Finding {
  return { strength: "as expected", finding };
}

function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? "" : "s"}`;
}

function oneIn(probability: number): string {
  if (probability > 0.5) return "more likely than not";
  return probability < 1e-9 ? "less than 1 in 1000000000" : `1 in ${Math.round(1 / probability)}`;
}
