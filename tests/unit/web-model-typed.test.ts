import { describe, expect, it } from "vitest";
import { changedEntries, draftOf } from "../../web/model/draft.ts";
import { emptyCard } from "../../web/model/jobChange.ts";
import { EMPTY_RECEIVER, receiverTyped } from "../../web/model/receiverDraft.ts";
import { numberTyped, pressureTyped, temperatureTyped } from "../../web/model/typed.ts";

describe("a number that is typed", () => {
  it.each([
    ["2,3", 2.3],
    ["2.3", 2.3],
    ["1.234", 1.234],
    ["1,234.5", 1234.5],
    ["1.234,5", 1234.5],
    ["1,234,567", 1_234_567],
    ["0,125", 0.125],
  ])("as %s is taken as it can only be meant", (text, value) => {
    expect(numberTyped(text, 0, 1e7, "It", ".")).toEqual({ ok: true, value });
  });

  it("as 1,234 is asked about", () => {
    expect(numberTyped("1,234", 0, 1e7, "It", ".")).toEqual({
      ok: false,
      asks: [
        { words: "one thousand two hundred and thirty-four", value: 1234 },
        { words: "one point two three four", value: 1.234 },
      ],
      says: "Is 1,234 one thousand two hundred and thirty-four, or one point two three four? Type 1234 or 1.2340.",
    });
    expect(numberTyped("1.234", 0, 1e7, "It", ",")).toMatchObject({
      ok: false,
      asks: [{ value: 1234 }, { value: 1.234 }],
    });
  });

  it("in the way that the question asks for is taken", () => {
    for (const mark of [".", ","]) {
      expect(numberTyped("1234", 0, 1e7, "It", mark)).toEqual({ ok: true, value: 1234 });
      expect(numberTyped("1.2340", 0, 1e7, "It", mark)).toEqual({ ok: true, value: 1.234 });
    }
  });

  it("is not asked about where only one of both can be", () => {
    expect(numberTyped("1,234", 0, 100, "It", ".")).toEqual({ ok: true, value: 1.234 });
  });
});

describe("a quantity with its own unit", () => {
  // 1 psi = 6894.757293168 Pa, by the exact pound, inch and standard gravity; NIST SP 811 prints 6.894757 E+03.
  it.each([
    ["35 psi", 241.317],
    ["2,4 bar", 240],
    ["240kPa", 240],
    ["240", 240],
  ])("%s is a pressure in that unit", (text, value) => {
    expect(pressureTyped(text, "kPa", 10, 2000, "It")).toEqual({ ok: true, value });
    if (text !== "240") expect(pressureTyped(text, "psi", 10, 2000, "It")).toEqual({ ok: true, value });
  });

  it.each([
    ["68 F", 20],
    ["20 °C", 20],
    ["-40F", -40],
  ])("%s is a temperature in that unit", (text, value) => {
    expect(temperatureTyped(text, "degC", -40, 60, "It")).toEqual({ ok: true, value });
    expect(temperatureTyped(text, "degF", -40, 60, "It")).toEqual({ ok: true, value });
  });

  it("without a number is refused", () => {
    expect(pressureTyped("psi", "kPa", 10, 2000, "It").ok).toBe(false);
    expect(temperatureTyped("F", "degC", -40, 60, "It").ok).toBe(false);
  });
});

describe("a question about a number is the sentence of its box", () => {
  it("on a new receiver", () => {
    const typed = receiverTyped({ ...EMPTY_RECEIVER, name: "a", path: "b", baudRate: "115,200" });
    expect(typed).toMatchObject({
      ok: false,
      wrong: { baudRate: expect.stringMatching(/^Is 115,200 one hundred and fif/) },
    });
  });

  it("on a card", () => {
    const units = { pressure: "kPa", temperature: "degC" } as const;
    const before = draftOf(emptyCard([]), units);
    expect(changedEntries({ ...before, odometerKm: "48,210" }, before, units)).toMatchObject({
      wrong: { odometerKm: expect.stringMatching(/^Is 48,210 forty-eight thousand two hundred and ten, or/) },
    });
  });
});
