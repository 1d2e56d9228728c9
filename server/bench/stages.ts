import type { PotFill } from "./fills.ts";
import type { Lot } from "./lot.ts";
import type { WorkedSpecimen } from "./workOut.ts";

/** How far a lot is, in the order of the work. */
export interface Stage {
  readonly name: "set up" | "register" | "set points" | "decide";
  readonly state: "done" | "now" | "later";
  readonly says: string;
}

export function stagesOf(lot: Lot, specimens: readonly WorkedSpecimen[], fills: readonly PotFill[]): readonly Stage[] {
  const all = [setUp(lot), registering(lot, specimens), setPoints(lot, specimens, fills)];
  const firstOpen = all.findIndex(({ isDone }) => !isDone);
  const stages = all.map(({ name, isDone, says }, i): Stage => {
    return { name, says, state: isDone ? "done" : i === firstOpen ? "now" : "later" };
  });
  const says = firstOpen < 0 ? "Everything is there." : "What is there so far can be looked at.";
  return [...stages, { name: "decide", state: firstOpen < 0 ? "now" : "later", says }];
}

interface Half {
  readonly name: Stage["name"];
  readonly isDone: boolean;
  readonly says: string;
}

function setUp(lot: Lot): Half {
  const lacks = [
    ...(lot.limits.pressureKpa === null && lot.limits.pressurePercent === null ? ["the limit for pressure"] : []),
    ...(lot.gauge.errorKpa === null ? ["how good the gauge is"] : []),
    ...(lot.sample === null ? ["how many specimens were drawn"] : []),
    ...(lot.setPoints.length === 0 ? ["set points"] : []),
    ...(lot.receiverIds.length + lot.recordingHashes.length === 0 ? ["a receiver or a recording"] : []),
  ];
  const says = lacks.length === 0 ? "All that is needed is entered." : `Still to enter: ${listed(lacks)}.`;
  return { name: "set up", isDone: lacks.length === 0, says };
}

function registering(lot: Lot, specimens: readonly WorkedSpecimen[]): Half {
  const heard = specimens.filter(({ state }) => state === "heard").length;
  const silent = specimens.filter(({ state }) => state === "no answer" || state === "sending, not readable");
  const open = specimens.filter(({ state, registered }) => state === "not heard yet" && registered.leftOut === "");
  const drawn = lot.sample ?? specimens.length;
  const dumb = silent.length === 0 ? "" : ` Without a readable answer: ${numbers(silent)}.`;
  return {
    name: "register",
    isDone: specimens.length > 0 && lot.sample !== null && open.length === 0,
    says: `${heard} of ${drawn} heard.${dumb}`,
  };
}

function setPoints(lot: Lot, specimens: readonly WorkedSpecimen[], fills: readonly PotFill[]): Half {
  const stood = lot.setPoints.map((_, i) => fills.some(({ setPoint, settled }) => setPoint === i && settled));
  const done = stood.filter((one) => one).length;
  const waiting = specimens.filter(
    ({ state, missing, registered }) =>
      state === "heard" && registered.leftOut === "" && missing.some((setPoint) => stood[setPoint]),
  );
  const isOver = fills.length > 0 && fills.every(({ endMs }) => endMs !== null);
  const still = isOver ? "are" : "are still";
  const miss = waiting.length === 0 ? "" : ` Readings ${still} missing from ${numbers(waiting)}.`;
  return {
    name: "set points",
    // Once the last fill is over, whoever was not heard cannot be told, and holds nothing up.
    isDone: stood.length > 0 && done === stood.length && (isOver || waiting.length === 0),
    says: `${done} of ${stood.length} set points stood still.${miss}`,
  };
}

const MOST_NAMED = 8;

function numbers(specimens: readonly WorkedSpecimen[]): string {
  const named = specimens.slice(0, MOST_NAMED).map(({ registered }) => String(registered.number));
  const more = specimens.length - named.length;
  return more > 0 ? `${named.join(", ")} and ${more} more` : listed(named);
}

function listed(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? "") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;
}
