import type { RungName } from "../../../decoders/records.ts";
import { counted, RUNG_MISSED, sentence } from "../../../decoders/words.ts";
import { frequencyShown, inLine, listed } from "../quantities.ts";
import { firstMissed } from "../rungWords.ts";
import { type FrameLine, LOOK_WORDS } from "./frameLines.ts";
import { type Frame, isUnread } from "./frames.ts";

/** The frame lines in a sentence: who is there, and what could not be read. */
export function linesHeading(lines: readonly FrameLine[]): string {
  const framesIn = (kind: FrameLine["kind"]) =>
    lines.reduce((sum, line) => sum + (line.kind === kind ? line.frames.length : 0), 0);
  const [read, unverified] = [framesIn("sensor"), framesIn("unverified")];
  const sensors = lines.filter((line) => line.kind === "sensor" && line.isIdentity).length;
  const from = sensors === 0 ? "without a sensor ID" : `from ${counted(sensors, "sensor")}`;
  const said = [
    read === 0 ? "No frame was read" : `${counted(read, "frame")} read, ${from}`,
    ...(unverified === 0 ? [] : [`${counted(unverified, "frame")} not verified`]),
    ...lines
      .filter(({ kind }) => kind === "unreadable")
      .map((line) => `${counted(line.frames.length, "burst")} not read: ${line.title}`),
  ];
  return sentence(said.join("; "));
}

/** One frame in a line, for lists and for those who hear the page. */
export function frameWords(frame: Frame): string {
  const { burst, telegram, look } = frame;
  const at = `at ${burst.atSeconds.toFixed(3)}\u202fs`;
  const on = `on ${inLine(frequencyShown(burst.carrierHz, 3))}`;
  if (!telegram) return `${at} ${on}: ${missedWords(burst.outcome)}, ${LOOK_WORDS[look]}`;
  const who = telegram.identity ?? `a sensor without ID (${telegram.telegram.layout})`;
  return `${at} ${on}: ${who}, ${copyWords(frame)}, ${look === "solid" ? "verified" : "not verified"}`;
}

/** Which copy of its telegram a frame is. */
export function copyWords({ burst, telegram }: Frame): string {
  if (!telegram) return "";
  const { repeats } = telegram.telegram;
  if (repeats.length === 1) return "one copy";
  return `copy ${repeats.indexOf(burst.index) + 1} of ${repeats.length}`;
}

/** What is wrong with a burst of which there is no telegram. */
export function missedWords(outcome: Frame["burst"]["outcome"]): string {
  return outcome === "telegram" || outcome === "repeat"
    ? "part of a telegram"
    : RUNG_MISSED[outcome satisfies RungName];
}

/** Which frame is chosen, for the heading above its bits. */
export function chosenWords(frame: Frame): string {
  const { burst, telegram } = frame;
  const at = `at ${burst.atSeconds.toFixed(3)}\u202fs`;
  if (telegram) {
    const who = telegram.identity ?? "A sensor without ID";
    return `${who} ${at}, ${copyWords(frame)}${isUnread(frame) ? ", not verified" : ""}`;
  }
  return `Burst ${at}: ${missedWords(burst.outcome)}`;
}

/** How a burst was sent, as measured. */
export function airWordsOf({ burst }: Frame): string {
  const { carrierHz, modulation, deviationHz, symbolRate, snrDb, levelDbfs, clipped } = burst;
  const keying = modulation === null ? "keying not made out" : modulation.toUpperCase();
  return listed([
    inLine(frequencyShown(carrierHz, 3)),
    deviationHz === null ? keying : `${keying} ±\u202f${(deviationHz / 1000).toFixed(1)}\u202fkHz`,
    ...(symbolRate === null ? [] : [`${Math.round(symbolRate).toLocaleString("en-GB")}\u202fsymbols/s`]),
    ...(snrDb === null ? [] : [`${snrDb.toFixed(1)}\u202fdB above the noise`]),
    ...(levelDbfs === null ? [] : [`${levelDbfs.toFixed(1).replace("-", "−")}\u202fdBFS`]),
    ...(clipped ? ["at the receiver's limit"] : []),
  ]);
}

/** Why a frame is as it is, in a few words for a list. */
export function verdictWords(frame: Frame): string {
  if (!frame.telegram) return sentence(missedWords(frame.burst.outcome));
  if (isUnread(frame)) return "Not verified";
  return firstMissed(frame.burst.rungs)?.rung === "values" ? "Verified; values make no sense" : "Verified";
}
