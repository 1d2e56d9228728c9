import { describe, expect, it } from "vitest";
import type { BurstRecord } from "../../decoders/records.ts";
import { type SelfCheckInput, selfCheckOf } from "../../server/receivers/selfCheck.ts";
import { burstRecord } from "../support/store-data.ts";

const burst = (more: Partial<BurstRecord> = {}): BurstRecord => ({ ...burstRecord(0), ...more });

const input = (more: Partial<SelfCheckInput> = {}): SelfCheckInput => ({
  at: "2026-11-25T09:00:10Z",
  seconds: 10,
  state: "listening",
  says: "One receiver is connected.",
  silentSeconds: 1,
  bursts: [burst({ carrierHz: 433_925_000, snrDb: 21 })],
  shelfHz: [315e6, 433.92e6],
  ...more,
});
const climbed = (more: Partial<SelfCheckInput>) => selfCheckOf(input(more)).rungs.map(({ passed }) => passed);

describe("a receiver's self-check", () => {
  it("is passed where it speaks, hears a burst, and hears it where sensors send", () => {
    const checked = selfCheckOf(input());
    expect(checked).toMatchObject({ passed: true, at: "2026-11-25T09:00:10Z" });
    expect(checked.rungs.map(({ rung }) => rung)).toEqual(["receiver", "burst", "band"]);
    expect(checked.rungs.map(({ because }) => because)).toEqual([
      "It is joined to us and speaks.",
      "It heard 1 burst, the strongest 21 dB above the noise.",
      "433.925 MHz, where sensors of the shelf send (433.92 MHz).",
    ]);
  });

  it("stops where it is not joined, with its own sentence as the next step", () => {
    const says = "There is no /dev/ttyUSB0. Plug the receiver in, or choose another port.";
    const checked = selfCheckOf(input({ state: "away", says }));
    expect(checked.rungs.map(({ passed }) => passed)).toEqual([false, null, null]);
    expect(checked.rungs[0]?.nextStep).toBe(says);
  });

  it("does not claim that one hears which says nothing by itself and brought nothing", () => {
    expect(climbed({ silentSeconds: undefined, bursts: [] })).toEqual([null, false, null]);
    expect(climbed({ silentSeconds: 300, bursts: [] })).toEqual([null, false, null]);
    expect(selfCheckOf(input({ bursts: [] })).rungs[1]?.nextStep).toMatch(/known to be good/);
    expect(selfCheckOf(input({ bursts: [] })).passed).toBe(false);
  });

  it("says that it was overloaded where everything came in at full scale", () => {
    expect(climbed({ bursts: [burst({ clipped: true })] })[0]).toBe(false);
    expect(climbed({ bursts: [burst({ clipped: true }), burst()] })[0]).toBe(true);
  });

  it("says on which frequency it heard, where no layout sends there", () => {
    const [, , band] = selfCheckOf(input({ bursts: [burst({ carrierHz: 434.5e6 })] })).rungs;
    expect(band).toMatchObject({ passed: false, measured: 434.5, needed: 433.92 });
    expect(climbed({ shelfHz: [] })).toEqual([true, true, null]);
  });
});
