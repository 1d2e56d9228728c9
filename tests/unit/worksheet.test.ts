import { describe, expect, it } from "vitest";
import type { Field } from "../../decoders/layouts/schema.ts";
import { companions } from "../../decoders/workshop/movement.ts";
import { type TestFrame, testsHeldTo } from "../../decoders/workshop/testFrames.ts";
import { fieldsNamed, isSameCheck, movedCheck, namedShift } from "../../decoders/workshop/wishes.ts";
import {
  bringIn,
  bringLog,
  caughtOn,
  decide,
  doAgain,
  emptyWorksheet,
  MOST_STEPS,
  readingsOn,
  type SheetBurst,
  sheetBurst,
  takeBack,
  tellFigure,
} from "../../decoders/workshop/worksheet.ts";

const source = (id: string) => ({ id, name: `${id}.sigmf`, fromSeconds: 0, cutTogether: false });
const burst = (id: string, of: string): SheetBurst => ({
  id,
  source: of,
  atSeconds: 1,
  durationSeconds: 0.01,
  carrierHz: 433.92e6,
  modulation: "fsk",
  deviationHz: 28e3,
  symbolRate: 9600,
  symbols: "b4",
  symbolCount: 6,
  sureness: null,
  recording: null,
});

describe("a worksheet", () => {
  it("takes steps back one by one, does them again, and forgets those that another step overtakes", () => {
    const begun = emptyWorksheet("Four trolleys");
    const one = decide(begun, "Left out one", { leftOut: ["a"] });
    const two = decide(one, "Read them as NRZ", { lineCode: "nrz" });
    expect(takeBack(two).now).toEqual(one.now);
    expect(takeBack(takeBack(two)).now).toEqual(begun.now);
    expect(takeBack(begun)).toBe(begun);
    expect(doAgain(takeBack(two))).toEqual(two);
    expect(doAgain(two)).toBe(two);
    const other = decide(takeBack(two), "Took no check", { check: "none" });
    expect([other.takenBack, other.now.lineCode, other.now.check]).toEqual([[], null, "none"]);
  });

  it(`keeps the last ${MOST_STEPS} steps`, () => {
    let sheet = emptyWorksheet("Long");
    for (let i = 0; i < MOST_STEPS + 5; i++) sheet = decide(sheet, `Step ${i}`, { leftOut: [String(i)] });
    expect([sheet.done.length, sheet.done[0]?.says]).toEqual([MOST_STEPS, "Step 5"]);
  });

  it("brings in a source once, and without losing a burst when that is taken back", () => {
    const sheet = bringIn(emptyWorksheet("x"), [source("s1"), source("s2")], [burst("a", "s1"), burst("b", "s2")]);
    expect([sheet.done[0]?.says, sheet.now.sources]).toEqual(["Brought in 2 sources", ["s1", "s2"]]);
    expect(bringIn(sheet, [source("s1")], [burst("other", "s1")])).toBe(sheet);
    const back = takeBack(sheet);
    expect([caughtOn(back), back.bursts.length]).toEqual([[], 2]);
    const again = bringIn(back, [source("s1")], [burst("other", "s1")]);
    expect(caughtOn(again).map(({ id }) => id)).toEqual(["a"]);
    expect([...caughtOn(again)[0]!.symbols]).toEqual([1, 0, 1, 1, 0, 1]);
    expect(caughtOn(decide(again, "Left out", { leftOut: ["a"] }))).toEqual([]);
  });

  it("keeps how sure each symbol is, in steps of a sixteenth", () => {
    const symbols = Uint8Array.from([1, 0, 1, 1, 0]);
    const evidence = Float32Array.from([2, -0.5, 0.0625, 99, -3]);
    const {
      id,
      source: _source,
      recording: _recording,
      sureness: _none,
      symbolCount: _count,
      ...rest
    } = burst("a", "s1");
    const kept = sheetBurst({ ...rest, id, symbols, evidence }, "s1", null);
    const sheet = bringIn(emptyWorksheet("x"), [source("s1")], [kept]);
    expect([...caughtOn(sheet)[0]!.evidence!]).toEqual([2, -0.5, 0.0625, 255 / 16, -3]);
    expect(kept.sureness).toBe(Buffer.from([32, 8, 1, 255, 48]).toString("base64"));
  });

  it("has readings of logs in order of time, and figures of their own for telegrams", () => {
    const at = (seconds: number) => [{ atSeconds: seconds, kPa: 200 + seconds, degC: null }];
    const logged = bringLog(bringLog(emptyWorksheet("x"), "late", at(9)), "early", at(1));
    const told = tellFigure(logged, { of: ["a", "b"], kPa: 250, degC: 20 }, "Told");
    const retold = tellFigure(told, { of: ["b"], kPa: 260, degC: null }, "Told again");
    expect(readingsOn(retold)).toEqual([
      { atSeconds: 1, kPa: 201, degC: undefined },
      { atSeconds: 9, kPa: 209, degC: undefined },
      { atSeconds: 0, kPa: 250, degC: 20, of: ["a"] },
      { atSeconds: 0, kPa: 260, degC: undefined, of: ["b"] },
    ]);
    const untold = tellFigure(retold, { of: ["a", "b"], kPa: null, degC: null }, "Untold");
    expect(untold.now.figures).toEqual([]);
  });

  it("has the readings of before again where a log that took its place is taken back", () => {
    const at = (kPa: number) => [{ atSeconds: 1, kPa, degC: null }];
    const first = bringLog(emptyWorksheet("x"), "gauge.csv", at(200));
    const second = bringLog(first, "gauge.csv", at(300));
    expect(readingsOn(second).map(({ kPa }) => kPa)).toEqual([300]);
    expect(readingsOn(takeBack(second)).map(({ kPa }) => kPa)).toEqual([200]);
  });

  it("has no burst twice, whichever sources brought it", () => {
    const lately = bringIn(emptyWorksheet("x"), [source("5 min")], [burst("a", "5 min")]);
    const longer = bringIn(lately, [source("30 min")], [burst("a", "30 min"), burst("b", "30 min")]);
    expect(caughtOn(longer).map(({ id }) => id)).toEqual(["a", "b"]);
  });

  it("remembers of a step only what it changed", () => {
    const sheet = decide(emptyWorksheet("x"), "Left out one", { leftOut: ["a"] });
    expect(sheet.done).toEqual([{ says: "Left out one", before: { leftOut: [] } }]);
    expect(takeBack(sheet).takenBack).toEqual([{ says: "Left out one", after: { leftOut: ["a"] } }]);
  });
});

describe("places that were told", () => {
  const crc = {
    kind: "crc",
    width: 8,
    poly: "0x07",
    init: "0x00",
    refin: false,
    refout: false,
    xorout: "0x00",
  } as const;
  const field: Field = { name: "state", at: 3, bits: 4, type: "code" };

  it("move with the frame's beginning", () => {
    expect(fieldsNamed({ wishes: { named: [field] }, shift: 2 }).map(({ at }) => at)).toEqual([5]);
    expect(fieldsNamed({ wishes: { named: [field] }, shift: undefined })).toEqual([]);
    const check = { ...crc, covers: [[0, 56]] as [number, number][], at: 56 };
    const later = movedCheck(check, 4);
    expect([later.at, later.covers]).toEqual([60, [[4, 56]]]);
    expect([isSameCheck(check, later), isSameCheck(check, { ...check, covers: [[8, 48]] })]).toEqual([false, true]);
  });

  it("are found by any burst that was there, whose symbols do not move", () => {
    const members = [{ caught: { id: "a" }, column: 2 }];
    const aligned = { members } as unknown as Parameters<typeof namedShift>[0];
    const table = (start: number, lineCode = "manchester-ieee") =>
      ({ start, constantLengths: [], reading: { lineCode, pulse: undefined } }) as unknown as Parameters<
        typeof namedShift
      >[1];
    const anchors = [
      { burst: "gone", symbol: 12 },
      { burst: "a", symbol: 38 },
    ];
    expect(namedShift(aligned, table(40), 0, { anchors })).toBe(0);
    expect(namedShift(aligned, table(32), 0, { anchors })).toBe(4);
    expect(namedShift(aligned, table(39), 0, { anchors })).toBe(undefined); // no whole bit
    expect(namedShift(aligned, table(32, "nrz"), 0, { anchors })).toBe(8);
    expect(namedShift(aligned, table(32), 0, { anchors: anchors.slice(0, 1) })).toBe(undefined);
    expect(namedShift(aligned, table(32), 0, {})).toBe(0);
  });
});

describe("the bit that tells most of another", () => {
  it("is its copy, and none for one that never moves or is alone", () => {
    const frames = [
      [0, 0, 1, 0],
      [1, 1, 1, 0],
      [0, 0, 1, 1],
      [1, 1, 1, 1],
      [0, 0, 1, 0],
      [1, 1, 1, 0],
      [0, 0, 1, 1],
      [1, 1, 1, 1],
    ].map((bits) => Uint8Array.from(bits));
    const [first, second, constant, alone] = companions(frames);
    expect([first?.bit, second?.bit, constant, alone]).toEqual([1, 0, undefined, undefined]);
    // A fair bit and its copy: one bit, less the bias of eight telegrams.
    expect(first?.tells).toBeCloseTo(1 - 1 / (16 * Math.LN2), 12);
  });
});

describe("test frames of several versions", () => {
  const frame = (from: string, values: TestFrame["values"]): TestFrame => ({
    from,
    carrierHz: 433.92e6,
    modulation: "fsk",
    symbolRate: 9600,
    symbols: "aa",
    symbolCount: 8,
    bits: "f",
    values,
  });

  it("stand once where a later version says as much, and twice where it says otherwise", () => {
    const [old, gone] = [frame("a", { pressure: 230 }), frame("b", { pressure: 240 })];
    const more = frame("a", { pressure: 230, state: 3 });
    expect(testsHeldTo([[old, gone], [more]])).toEqual([more, gone]);
    const other = frame("a", { pressure: 33.4 });
    expect(testsHeldTo([[old], [other]])).toEqual([other, old]);
  });
});
