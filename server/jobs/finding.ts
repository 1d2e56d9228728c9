import type { TelegramRecord } from "../../decoders/records.ts";
import limits from "./limits.json" with { type: "json" };
import type { Reading } from "./reading.ts";

export type Strength = "as expected" | "look here" | "stop";

/** What a wheel line says of its wheel, in words of the bay, with the caution that belongs to it. */
export interface Finding {
  readonly strength: Strength;
  readonly finding: string;
}

/** What is found of a wheel whose sensor was heard: its tyre first, then its sensor. */
export function heardFinding(
  reading: Reading,
  placardKpa: number | null,
  telegram: TelegramRecord,
  sameIdentity: readonly string[],
): Finding {
  const parts = [pressureFinding(reading, placardKpa)];
  if (!reading.temperaturePlausible) {
    parts.push(look("Its temperature lies outside what this sensor can measure: do not rely on it."));
  }
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
        ? `It has no sensor ID yet: choose one of the ${otherCount} heard that no wheel has, or wake this wheel.`
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

function pressureFinding(reading: Reading, placardKpa: number | null): Finding {
  const { gaugeKpa, pressurePlausible } = reading;
  if (gaugeKpa === null) return look("Heard, but its pressure cannot be told: check with a hand gauge.");
  if (!pressurePlausible) {
    return look("Its pressure lies outside what this sensor can measure: check with a hand gauge.");
  }
  if (placardKpa === null || placardKpa <= 0) return look("Enter the placard to judge this pressure.");
  // Six digits, so that 184 of 230 kPa is 20 % below and not 19.999999999999996.
  const below = Number(((1 - gaugeKpa / placardKpa) * 100).toFixed(6));
  // Cut, not rounded: what is shown never reaches a limit that the reading itself does not.
  const shown = `${Math.floor(Math.abs(below))} %`;
  if (below >= limits.stopBelowPlacardPercent) {
    return {
      strength: "stop",
      finding: `${shown} below placard. Driven soft? Look before inflating.${outside(reading)}`,
    };
  }
  if (below >= limits.lookBelowPlacardPercent) {
    return look(`${shown} below placard. Set it by the placard, cold: three hours standing.${outside(reading)}`);
  }
  if (-below >= limits.lookAbovePlacardPercent) {
    return look(`${shown} above placard. Never bleed a hot tyre to the cold figure: recheck cold.`);
  }
  return fine("As placard.");
}

/** Higher up the air outside is thinner, and a tyre holds more than an absolute reading seems to say. */
function outside({ ambientKpa, ambientAssumed }: Reading): string {
  if (ambientKpa === null) return "";
  const counted = ` Counted above ${ambientKpa.toFixed(1)} kPa outside`;
  return ambientAssumed ? `${counted} (sea level): enter the barometer if you are higher.` : `${counted}.`;
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
