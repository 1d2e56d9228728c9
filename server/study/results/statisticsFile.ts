import type { ResultInput, StudyFacts } from "./facts.ts";
import type { HeardTally } from "./heardTally.ts";
import type { InputCounts } from "./inputTable.ts";
import { type LadderCounts, reasonRows } from "./ladderTable.ts";
import { rounded } from "./rounded.ts";
import { CONFIDENCE, shareOf } from "./share.ts";

/** Raised with any change by which a program that reads the file could stumble; see the README beside this file. */
export const STATISTICS_VERSION = 1;

/** Sums over all inputs that are done. */
export interface Totals {
  readonly seconds: number;
  readonly bursts: number;
  readonly readBursts: number;
  readonly telegrams: number;
  readonly verified: number;
  readonly implausible: number;
  readonly repaired: number;
  readonly repairedBits: number;
  /** Expected number of verified telegrams that are none: the sum of their chances. */
  readonly falseExpected: number;
  /** Natural logarithm of the chance that there is none such. */
  readonly falseNoneLog: number;
  readonly inputsWithBurst: number;
  readonly inputsWithTelegram: number;
  readonly inputsWithVerified: number;
}

export const NO_TOTALS: Totals = {
  seconds: 0,
  bursts: 0,
  readBursts: 0,
  telegrams: 0,
  verified: 0,
  implausible: 0,
  repaired: 0,
  repairedBits: 0,
  falseExpected: 0,
  falseNoneLog: 0,
  inputsWithBurst: 0,
  inputsWithTelegram: 0,
  inputsWithVerified: 0,
};

export function addInput(totals: Totals, counts: InputCounts): Totals {
  return {
    seconds: totals.seconds + (counts.summary?.seconds ?? 0),
    bursts: totals.bursts + counts.bursts,
    readBursts: totals.readBursts + counts.readBursts,
    telegrams: totals.telegrams + counts.telegrams,
    verified: totals.verified + counts.verified,
    implausible: totals.implausible + counts.implausible,
    repaired: totals.repaired + counts.repaired,
    repairedBits: totals.repairedBits + counts.repairedBits,
    falseExpected: totals.falseExpected + counts.falseExpected,
    falseNoneLog: totals.falseNoneLog + counts.falseNoneLog,
    inputsWithBurst: totals.inputsWithBurst + (counts.bursts > 0 ? 1 : 0),
    inputsWithTelegram: totals.inputsWithTelegram + (counts.telegrams > 0 ? 1 : 0),
    inputsWithVerified: totals.inputsWithVerified + (counts.verified > 0 ? 1 : 0),
  };
}

/** The statistics file: what succeeded, what went wrong and where, and how what was heard lies. */
export function statisticsFile(facts: StudyFacts, totals: Totals, ladder: LadderCounts, heard: HeardTally): unknown {
  const states = statesOf(facts.inputs);
  const snr = heard.snr();
  return {
    kind: "wheelgram study statistics",
    version: STATISTICS_VERSION,
    title: facts.title,
    terms: TERMS,
    confidence: CONFIDENCE,
    success: {
      inputs: states,
      inputsWithBurst: shareOf(totals.inputsWithBurst, states.done),
      inputsWithTelegram: shareOf(totals.inputsWithTelegram, states.done),
      inputsWithVerifiedTelegram: shareOf(totals.inputsWithVerified, states.done),
      burstsRead: shareOf(totals.readBursts, totals.bursts),
      telegramsVerified: shareOf(totals.verified, totals.telegrams),
      secondsListened: rounded(totals.seconds),
    },
    errors: {
      rungs: ladder.rungs.map(({ rung, reached, stopped, inputsStopped }) => ({
        rung,
        burstsStopped: shareOf(stopped, reached),
        inputsStopped,
      })),
      reasons: reasonRows(ladder).map(({ rung, reason, bursts, inputs }) => ({ rung, reason, bursts, inputs })),
      inputs: inputReasons(facts.inputs),
      repairedTelegrams: shareOf(totals.repaired, totals.telegrams),
      repairedBits: totals.repairedBits,
      implausibleTelegrams: shareOf(totals.implausible, totals.telegrams),
      falseAccepts: {
        expected: rounded(totals.falseExpected),
        chanceOfAny: rounded(-Math.expm1(totals.falseNoneLog)),
      },
    },
    heard: {
      snrDb: snr,
      gapSeconds: heard.gaps(),
      layouts: heard.layouts(),
      sensors: heard.sensors(),
      telegramsOfOtherSensors: heard.untoldTelegrams(),
    },
  };
}

const TERMS = {
  share:
    "count of of; from and to hold the true share with the stated confidence after Clopper and Pearson, if each item stands for itself. Bursts of one recording are alike, so theirs is at best a lower bound of the doubt.",
  spread:
    "n, smallest and largest value, mean, standard deviation of a sample (over n - 1), and the values below which 5, 50 and 95 % lie. quantileError: what these three may be off by, as a share of themselves; 0 is exact.",
  burstsRead: "Bursts that became a telegram or another copy of one.",
  rungs: "Of the bursts that reached a rung, those that stopped there.",
  inputsStopped: "Inputs whose best burst stopped at this rung, or which have no burst because of it.",
  falseAccepts:
    "Of the verified telegrams: the sum of their chances to be noise, which is how many to expect, and the chance that there is one or more, if they are independent.",
  lengthSeconds: "How long a burst that was read is.",
  copies: "How many copies of a telegram were put together.",
  copySpacingSeconds: "From the start of one copy to the start of the next, of one telegram.",
  gapSeconds: "From one verified telegram of a sensor to its next one in the same input.",
  carrierOffsetHz: "Carrier of a burst that was read, less the nearest one that its layout states.",
  symbolRate: "Of bursts that were read, in symbols a second.",
  deviationHz: "Of bursts that were read; fsk only.",
  snrDb: "Over the noise in the burst's 99 % bandwidth.",
  sensors: "By verified telegrams, in the order first heard; no more than 2,000 have a line of their own.",
};

function statesOf(inputs: readonly ResultInput[]) {
  const counts = { total: inputs.length, done: 0, failed: 0, skipped: 0, running: 0, waiting: 0 };
  for (const { state } of inputs) counts[state]++;
  return counts;
}

/** Why inputs failed or were skipped, the most common reason first. */
function inputReasons(inputs: readonly ResultInput[]) {
  const counts = new Map<string, { state: string; reason: string; inputs: number }>();
  for (const { state, reason } of inputs) {
    if (reason === null) continue;
    const key = `${state} ${reason}`;
    const row = counts.get(key) ?? { state, reason, inputs: 0 };
    row.inputs++;
    counts.set(key, row);
  }
  return [...counts.values()].sort((a, b) => b.inputs - a.inputs || (a.reason < b.reason ? -1 : 1)).slice(0, 100);
}
