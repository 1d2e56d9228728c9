import type { StudyInput } from "../study/input.ts";
import type { RegisterStanding } from "../study/register.ts";
import type { StudyView } from "../study/study.ts";
import type { Desk } from "./desk.ts";
import { timeWords } from "./progress.ts";
import { isTerminal } from "./streams.ts";

/** How far a study is: a line at the foot of a terminal, or now and then a sentence where nobody looks. */
export interface StudyProgress {
  readonly registering: (standing: RegisterStanding) => void;
  /** @param todo How many inputs will be analysed. */
  readonly begin: (study: StudyView, todo: number) => void;
  readonly changed: (index: number) => void;
  /** Takes the line away, so that something else can be written there. */
  readonly clear: () => void;
}

/** A terminal need not be told more often, and a log file not by far. */
const STEP_MS = 500;
const SENTENCE_MS = 60_000;

/** @param nowMs Of any steady clock. */
export function studyProgress({ streams, complain }: Desk, nowMs: () => number): StudyProgress {
  const { stderr } = streams;
  const onTerminal = isTerminal(stderr);
  let [shown, toldMs, beganMs] = [0, nowMs(), nowMs()];
  let study: StudyView | undefined;
  let standing: {
    readonly wasBytes: number;
    readonly ofBytes: number;
    readonly todo: number;
    readonly wasOver: number;
  } = {
    wasBytes: 0,
    ofBytes: 0,
    todo: 0,
    wasOver: 0,
  };

  function clear(): void {
    if (shown > 0) stderr.write(`\r${" ".repeat(shown)}\r`);
    shown = 0;
  }
  function tell(line: () => string): void {
    if (nowMs() - toldMs < (onTerminal ? STEP_MS : SENTENCE_MS)) return;
    toldMs = nowMs();
    const text = line();
    if (onTerminal) {
      clear();
      stderr.write(text);
      shown = text.length;
    } else complain(`${text}.`);
  }
  return {
    clear,
    registering(at) {
      tell(() => {
        const { bytes, ofBytes } = at;
        const tookSeconds = (nowMs() - beganMs) / 1000;
        return registerLine(at, bytes > 0 ? ((ofBytes - bytes) / bytes) * tookSeconds : undefined);
      });
    },
    begin(one, todo) {
      study = one;
      beganMs = nowMs();
      const { bytes, ofBytes, over } = bytesOf(one.inputs());
      standing = { wasBytes: bytes, ofBytes, todo, wasOver: over };
    },
    changed() {
      const inputs = study?.inputs();
      if (!inputs) return;
      tell(() => {
        const { bytes, ofBytes, failed, over } = bytesOf(inputs);
        const tookSeconds = (nowMs() - beganMs) / 1000;
        return runLine({
          share: ofBytes === 0 ? 0 : bytes / ofBytes,
          over,
          usable: inputs.filter(({ state }) => state !== "skipped").length,
          failed,
          leftSeconds:
            bytes > standing.wasBytes ? ((ofBytes - bytes) / (bytes - standing.wasBytes)) * tookSeconds : undefined,
        });
      });
    },
  };
}

/** Such as `Hashing and analysing: 31 %, 124 of 400 files, 4 min left`. */
export function registerLine(
  { files, ofFiles, bytes, ofBytes }: RegisterStanding,
  leftSeconds: number | undefined,
): string {
  const share = percent(ofBytes === 0 ? 1 : bytes / ofBytes);
  return [`Hashing and analysing: ${share}`, `${files} of ${ofFiles} files`, ...leftWords(leftSeconds)].join(", ");
}

export interface RunStanding {
  /** Of the bytes that are analysed, 0 to 1. */
  readonly share: number;
  /** Inputs that are done or failed. */
  readonly over: number;
  readonly usable: number;
  readonly failed: number;
  readonly leftSeconds: number | undefined;
}

/** Such as `Analysing: 38 %, 150 of 396 files, 2 failed so far, 4 min left`. */
export function runLine({ share, over, usable, failed, leftSeconds }: RunStanding): string {
  const how = [`${over} of ${usable} files`, `${failed} failed so far`];
  return [`Analysing: ${percent(share)}`, ...how, ...leftWords(leftSeconds)].join(", ");
}

function leftWords(seconds: number | undefined): readonly string[] {
  return seconds === undefined ? [] : [`${timeWords(seconds)} left`];
}

function percent(share: number): string {
  return `${Math.floor(100 * Math.min(1, share))} %`;
}

function bytesOf(inputs: readonly StudyInput[]) {
  let [bytes, ofBytes, over, failed] = [0, 0, 0, 0];
  for (const { state, bytes: own = 0, share = 0 } of inputs) {
    if (state === "skipped") continue;
    ofBytes += own;
    if (state === "failed") failed++;
    if (state === "done" || state === "failed") over++;
    bytes += state === "done" || state === "failed" ? own : state === "running" ? own * share : 0;
  }
  return { bytes, ofBytes, over, failed };
}
