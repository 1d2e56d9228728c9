import { expect, it } from "vitest";
import { withPartners } from "../../decoders/frames/faintPartners.ts";
import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { type HeardBurst, heardBurst } from "../../decoders/signal/heardBurst.ts";
import { measuredLayout } from "../support/measured-layouts.ts";

const RATE_HZ = 1_000_000;
const tuning = { sampleRateHz: RATE_HZ, centreHz: 433_920_000, startSeconds: 0 };
const plan = framePlan(measuredLayout("fsk", 4)); // 4 times 10.4 ms and 40 ms between

function at(seconds: number, hz: number, faint: boolean): HeardBurst {
  const startSample = seconds * RATE_HZ;
  const place = {
    startSample,
    endSample: startSample + 10_400,
    lowHz: hz - 20_000,
    highHz: hz + 20_000,
    noiseDensity: 1e-9,
    peakOverNoise: 3,
    firstSample: startSample,
    clippedShare: 0,
    faint,
    cutByStart: false,
    cutByEnd: false,
  };
  return heardBurst({ place, sampleType: "cu8", bytes: new Uint8Array(0) });
}

/** Seconds at which the bursts of each stretch begin that are read, and up to when each stretch is settled. */
async function read(...stretches: { bursts?: HeardBurst[]; faint?: HeardBurst[]; until: number }[]) {
  async function* heard() {
    for (const { bursts = [], faint = [], until } of stretches) {
      yield { tuning, bursts, faint, settledSeconds: until, quiet: undefined };
    }
  }
  const told: { at: number[]; waiting: number }[] = [];
  for await (const { bursts, waitingSeconds } of withPartners(heard(), [plan])) {
    told.push({ at: bursts.map((burst) => burst.startSample / RATE_HZ), waiting: waitingSeconds });
  }
  return told;
}

it("a faint burst alone is not read, and waited for only as long as copies last", async () => {
  expect(await read({ faint: [at(0.1, 0, true)], until: 0.2 }, { until: 0.5 })).toEqual([
    { at: [], waiting: 0.1 },
    { at: [], waiting: Number.POSITIVE_INFINITY },
  ]);
});

it("two that may be copies are read, the first one late", async () => {
  const told = await read({ faint: [at(0.1, 0, true)], until: 0.14 }, { faint: [at(0.15, 5_000, true)], until: 0.3 });
  expect(told.map((one) => one.at.sort())).toEqual([[], [0.1, 0.15]]);
});

it("so is one beside a burst that was heard well, but none on another frequency or after all copies", async () => {
  const strong = at(0.1, 0, false);
  const faint = [at(0.15, 0, true), at(0.15, 60_000, true), at(0.6, 0, true)];
  expect((await read({ bursts: [strong], faint, until: 2 })).map((one) => one.at.sort())).toEqual([[0.1, 0.15]]);
});
