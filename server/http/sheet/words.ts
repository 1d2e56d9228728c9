import { placardOf } from "../../jobs/jobCard.ts";
import limits from "../../jobs/limits.json" with { type: "json" };
import type { JobBody, ProofBody, WheelLineBody } from "../wire.ts";
import { SENTENCES } from "./sentences.ts";
import { listed } from "./units.ts";

/** What stands in a part of the sheet, and whether somebody typed it. */
export interface Said {
  readonly text: string;
  readonly typed: boolean;
}

export type Part = "complaint" | "finding" | "cause" | "done" | "advised";

/** What was typed into a part or, where nothing was, what follows from the wheel lines. */
export function said(job: JobBody, part: Part): Said {
  const text = job[part].trim();
  return text === "" ? { text: FOLLOWING[part](job).join(" "), typed: false } : { text, typed: true };
}

const FOLLOWING: Readonly<Record<Part, (job: JobBody) => readonly string[]>> = {
  complaint: () => [SENTENCES.nothingTyped],
  finding: (job) => {
    const { stop, look, unreadable, silent, good } = sorted(job);
    return [
      ...about(SENTENCES.foundStop, stop, job.lines),
      ...about(SENTENCES.foundLook, look, job.lines),
      ...about(SENTENCES.foundUnreadable, unreadable, job.lines),
      ...about(SENTENCES.foundSilent, silent, job.lines),
      ...about(SENTENCES.foundGood, good, job.lines),
    ];
  },
  cause: (job) => {
    const { stop, look, unreadable, silent } = sorted(job);
    const causes = [
      ...about(SENTENCES.causeLow, stop, job.lines),
      ...about(SENTENCES.causeSilent, silent, job.lines),
      ...(look.length + unreadable.length > 0 ? [SENTENCES.causeLook] : []),
    ];
    if (causes.length > 0) return causes;
    return [job.proofFrom === null ? SENTENCES.causeNone : SENTENCES.causeNoneNow];
  },
  done: (job) => {
    const replaced = job.wheels.filter((wheel) => wheel.replaced !== null).map(({ position }) => position);
    if (replaced.length > 0) return about(SENTENCES.doneReplaced, replaced, job.lines);
    return [sorted(job).heard ? SENTENCES.doneListened : SENTENCES.doneNothing];
  },
  advised: (job) => {
    const { stop, look, unreadable, silent } = sorted(job);
    const low = new Set(job.lines.filter(({ battery }) => battery === "low").map(({ position }) => position));
    const advice = [
      ...about(SENTENCES.adviseStop, stop, job.lines),
      ...about(SENTENCES.adviseSilent, silent, job.lines),
      ...about(SENTENCES.adviseLook, [...unreadable, ...look.filter((position) => !low.has(position))], job.lines),
      ...about(SENTENCES.adviseBattery, [...low], job.lines),
    ];
    return advice.length > 0 ? advice : [SENTENCES.adviseMonthly];
  },
};

/** What is to be known of the sensors that were put in; empty where there is nothing. */
export function ofNewSensors({ wheels }: JobBody): string {
  const those = (wanted: "copied" | "blank") =>
    wheels.filter(({ replaced }) => replaced?.[wanted]).map(({ position }) => position);
  return [
    ...about(SENTENCES.doneCopied, those("copied"), wheels),
    ...about(SENTENCES.doneBlank, those("blank"), wheels),
  ].join(" ");
}

/** What was not checked: as it was typed, what holds for every visit, and what this one left out. */
export function notChecked(job: JobBody): readonly Said[] {
  const typed = job.notChecked.trim();
  const silent = job.lines.filter(({ state }) => state !== "heard").map(({ position }) => position);
  const ungauged = job.wheels.filter(({ handGaugeKpa }) => handGaugeKpa === null).map(({ position }) => position);
  const unread = job.lines
    .filter(
      ({ position, identity }) => !job.readBack.some((one) => one.position === position && one.identity === identity),
    )
    .map(({ position }) => position);
  const sentences = [
    SENTENCES.notByRadio,
    SENTENCES.notProof,
    ...(unread.length === job.wheels.length
      ? [SENTENCES.notReadBack]
      : about(SENTENCES.notReadBackOf, unread, job.lines)),
    ...(ungauged.length === job.wheels.length ? [SENTENCES.noGauge] : about(SENTENCES.noGaugeOn, ungauged, job.lines)),
    ...about(SENTENCES.noReading, silent, job.lines),
  ];
  return [...(typed === "" ? [] : [{ text: typed, typed: true }]), { text: sentences.join(" "), typed: false }];
}

/** The cautions of what was found and done on this car, and of nothing else. */
export function cautions(job: JobBody, proof: readonly ProofBody[]): readonly string[] {
  const replaced = job.wheels.some((wheel) => wheel.replaced !== null);
  // A tyre that was off the rim was filled again.
  const filled = replaced || [...job.lines, ...proof].some((reading) => isOff(reading, job));
  const large = job.kind === "dual rear wheels" || job.kind === "trailer";
  return [
    ...(sorted(job).stop.length > 0 ? [SENTENCES.careSoft] : []),
    ...(filled ? [SENTENCES.careSidewall] : []),
    ...(filled && large ? [SENTENCES.careCage] : []),
    ...(filled ? [SENTENCES.careCold, SENTENCES.careHot] : []),
    ...(replaced ? [SENTENCES.careJack, SENTENCES.careNuts, SENTENCES.careSensor, SENTENCES.careCell] : []),
    ...(/driv/i.test(job.relearn) ? [SENTENCES.careDrive] : []),
    SENTENCES.careMaker,
  ];
}

/** Far enough from the placard for somebody to have set it, or to have to. */
function isOff({ position, gaugeKpa }: Pick<ProofBody, "position" | "gaugeKpa">, job: JobBody): boolean {
  const placardKpa = placardOf(job, position);
  if (gaugeKpa === null || placardKpa === null || placardKpa <= 0) return false;
  const abovePercent = (gaugeKpa / placardKpa - 1) * 100;
  return abovePercent <= -limits.lookBelowPlacardPercent || abovePercent >= limits.lookAbovePlacardPercent;
}

/** Positions by what their lines say; each stands in one list. */
function sorted({ lines }: JobBody) {
  const where = (wanted: (line: WheelLineBody) => boolean) => lines.filter(wanted).map(({ position }) => position);
  const heard = where(({ state }) => state === "heard");
  return {
    heard: heard.length > 0,
    stop: where(({ strength }) => strength === "stop"),
    look: where(({ state, strength }) => state === "heard" && strength === "look here"),
    unreadable: where(({ state, strength }) => state === "sending, not readable" && strength !== "stop"),
    silent: where(({ state, strength }) => state === "not heard" && strength !== "stop"),
    good: where(({ state, strength }) => state === "heard" && strength === "as expected"),
  };
}

/** @param all Wheels of the car: where a sentence is about each of them it names none. */
function about(
  sentence: (wheels: string) => string,
  positions: readonly string[],
  all: readonly unknown[],
): readonly string[] {
  if (positions.length === 0) return [];
  return [sentence(positions.length === all.length && all.length > 2 ? "all wheels" : listed(positions))];
}
