import { describe, expect, it } from "vitest";
import { type Given, judged } from "../../server/class/answer/judge.ts";
import { readQuantity } from "../../server/class/answer/readQuantity.ts";
import { toolAnswer } from "../../server/class/answer/toolAnswer.ts";
import { inCommon, unitOf, writtenUnit } from "../../server/class/answer/units.ts";
import { type Answer, UNITS } from "../../server/class/exercise.ts";

const none = new Map<string, number | string>();

function judge(answer: Answer, given: Given, values = none) {
  return judged({ answer, wrong: [] }, values, given);
}

const pressure: Answer = { kind: "quantity", is: "231", unit: "kPa", tolerance: 2 };
const cold: Answer = { kind: "quantity", is: "0 - 20", unit: "degC", tolerance: 0.5 };
const power: Answer = { kind: "quantity", is: "0 - 27.56", unit: "dBm", tolerance: 0.1 };

describe("a quantity is judged by what it means", () => {
  // 1 psi = 6.894757293168 kPa, 1 bar = 100 kPa, degF = 1.8 degC + 32, K = degC + 273.15: by definition.
  it.each([
    [pressure, "231 kPa"],
    [pressure, "231kPa"],
    [pressure, "231"],
    [pressure, "  231  kpa. "],
    [pressure, "≈ 231 kPa"],
    [pressure, "231,5 kPa"],
    [pressure, "2.31 bar"],
    [pressure, "2,31 Bar"],
    [pressure, "33.5 psi"],
    [pressure, "33.5 PSI"],
    [pressure, "2310 hPa"],
    [pressure, "231 kilopascals"],
    [pressure, "2.31e2 kPa"],
    [cold, "-20 °C"],
    [cold, "−20 °C"],
    [cold, "- 20 C"],
    [cold, "-20"],
    [cold, "-4 °F"],
    [cold, "253.15 K"],
    [power, "-27.56 dBm"],
    [power, "1.754 µW"],
    [power, "1.754 uW"],
    [power, "1754 nW"],
    [power, "0.001754 mW"],
  ] as const)("%o takes %s", (answer, given) => {
    expect(judge(answer, given)).toEqual({ right: true, says: "That is right." });
  });

  it.each([
    [pressure, "231 psi"],
    [pressure, "33.5"],
    [pressure, "-231 kPa"],
    [cold, "20 °C"],
    [cold, "-20 °F"],
    [power, "27.56 dBm"],
    [power, "1.754 mW"],
  ] as const)("%o refuses %s", (answer, given) => {
    expect(judge(answer, given).right).toBe(false);
  });

  it("both ends of the tolerance are inside, and what lies beyond is not", () => {
    expect(judge(pressure, "229").right).toBe(true);
    expect(judge(pressure, "233").right).toBe(true);
    expect(judge(pressure, "228.99").right).toBe(false);
    expect(judge(pressure, "233.01").right).toBe(false);
    const tenth: Answer = { kind: "quantity", is: "0.3", unit: "bar", tolerance: 0.1 };
    expect(judge(tenth, "0.4 bar").right, "0.4 is 0.3 + 0.1, whatever binary fractions make of it").toBe(true);
    expect(judge(tenth, "0.2").right).toBe(true);
  });

  it("another dimension is told, with the one that is asked for", () => {
    expect(judge(pressure, "231 °C").says).toBe("That is a temperature; a pressure is asked for.");
    expect(judge(power, "75 dBµV/m").says).toBe("That is a field strength; a power is asked for.");
  });

  it("a unit that is not known is told, with how to write one", () => {
    expect(judge(cold, "-20 newton").says).toBe(
      "The unit newton is not known here. Write a number with its unit, such as 12.5 °C.",
    );
  });

  it("what is no number is told", () => {
    expect(judge(pressure, "a lot").says).toMatch(/^Write a number with its unit/);
    expect(judge({ kind: "quantity", is: "3", unit: "1", tolerance: 0.4 }, "three").says).toBe(
      "Write a number such as 12.",
    );
  });

  it("a comma that may part thousands is asked about", () => {
    expect(judge({ kind: "quantity", is: "1000", unit: "Bd", tolerance: 1 }, "1,000 Bd").says).toMatch(/two things/);
    expect(judge({ kind: "quantity", is: "12500", unit: "uV/m", tolerance: 1 }, "12 500 µV/m").right).toBe(true);
  });

  it("a plain number takes a share in per cent", () => {
    const share: Answer = { kind: "quantity", is: "0.25", unit: "1", tolerance: 0.001 };
    expect(judge(share, "25 %").right).toBe(true);
    expect(judge(share, "25").right).toBe(false);
  });
});

describe("every unit", () => {
  it.each(UNITS)("%s is read as it is written on a page", (unit) => {
    const read = readQuantity(`2 ${writtenUnit(unit)}`, unit);
    expect(read).toEqual({ kind: "quantity", value: 2, unit });
    expect(unitOf(unit)).toBe(unit);
    expect(Number.isFinite(inCommon(2, unit))).toBe(true);
  });

  it("of two that differ in case alone the one is taken that is written so", () => {
    expect([unitOf("mW"), unitOf("MHz"), unitOf("k"), unitOf("ms")]).toEqual(["mW", "MHz", "K", "ms"]);
  });
});

describe("bits and hex", () => {
  const bits: Answer = { kind: "bits", is: "{wanted}" };
  const hex: Answer = { kind: "hex", is: "0f3a" };
  const values = new Map([["wanted", "10110010"]]);

  it.each(["10110010", "1011 0010", "1011_0010", " 10 11 00 10 ", "1011.0010", "1011-0010"])("bits: %s", (given) => {
    expect(judge(bits, given, values).right).toBe(true);
  });

  it.each(["1011001", "110110010", "01001101", ""])("not these bits: %s", (given) => {
    expect(judge(bits, given, values).right).toBe(false);
  });

  it.each(["0f3a", "0F3A", "0x0f3a", "0X0F3A", "0f 3a", "0f:3a", "0f-3a"])("hex: %s", (given) => {
    expect(judge(hex, given).right).toBe(true);
  });

  it.each(["f3a", "0f3b", "3a0f"])("not this hex: %s", (given) => {
    expect(judge(hex, given).right).toBe(false);
  });

  it("other letters are told", () => {
    expect(judge(bits, "1011 002", values).says).toBe("Write zeros and ones, such as 1011 0010.");
    expect(judge(hex, "0g").says).toBe("Write hex digits, such as 3f 0a.");
  });
});

describe("choices, orders and words", () => {
  const options = [
    { id: "ask", words: "It switches the level", also: ["ASK", "amplitude"] },
    { id: "fsk", words: "It switches the frequency" },
    { id: "none", words: "Neither of the two" },
  ];
  const choice: Answer = { kind: "choice", options, is: "ask" };
  const choices: Answer = { kind: "choices", options, are: ["ask", "fsk"] };
  const order: Answer = { kind: "order", options, is: ["fsk", "ask", "none"] };
  const words: Answer = { kind: "words", is: "woken by field", also: ["field"] };

  it.each(["ask", "ASK", "it switches the LEVEL", "Amplitude", "  ask "])("a choice: %s", (given) => {
    expect(judge(choice, given).right).toBe(true);
  });

  it("another choice, and one that is not there", () => {
    expect(judge(choice, "fsk").right).toBe(false);
    expect(judge(choice, "psk").right).toBe(false);
  });

  it("choices: all that hold and no other, in any order", () => {
    expect(judge(choices, ["fsk", "ask"]).right).toBe(true);
    expect(judge(choices, ["ask", "It switches the frequency"]).right).toBe(true);
    expect(judge(choices, ["ask"]).right).toBe(false);
    expect(judge(choices, ["ask", "ask"]).right).toBe(false);
    expect(judge(choices, ["ask", "fsk", "none"]).right).toBe(false);
  });

  it("an order: by ids, by words, or typed", () => {
    expect(judge(order, ["fsk", "ask", "none"]).right).toBe(true);
    expect(judge(order, ["It switches the frequency", "amplitude", "neither of the two"]).right).toBe(true);
    expect(judge(order, "fsk, ask > none").right).toBe(true);
    expect(judge(order, ["ask", "fsk", "none"]).right).toBe(false);
    expect(judge(order, ["fsk", "ask"]).right).toBe(false);
  });

  it("an option's words are those that are shown", () => {
    const drawn: Answer = {
      kind: "choice",
      options: [{ id: "left", words: "Left: {kpa.1} kPa" }, options[0]!],
      is: "left",
    };
    expect(judge(drawn, "left: 230.0 kPa", new Map([["kpa", 230]])).right).toBe(true);
    expect(judge(drawn, "left: 231.0 kPa", new Map([["kpa", 230]])).right).toBe(false);
  });

  it.each(["woken by field", "Woken-by-field.", "the FIELD", " field "])("words: %s", (given) => {
    expect(judge(words, given).right).toBe(true);
  });

  it("other words are not", () => {
    expect(judge(words, "rolling").right).toBe(false);
  });

  it.each([choice, choices, order, words, pressure])("nothing answered is told: $kind", (answer) => {
    expect(judge(answer, "  ")).toEqual({ right: false, says: "Nothing was answered." });
    expect(judge(answer, [])).toEqual({ right: false, says: "Nothing was answered." });
  });
});

describe("a wrong answer", () => {
  const exercise = {
    answer: pressure,
    wrong: [
      { answer: "231 + sea", says: "You forgot the {sea} kPa of air." },
      { answer: "231 - sea", says: "You took it off twice." },
    ],
  };
  const values = new Map([["sea", 101]]);

  it("is told its own sentence, filled in, in any unit", () => {
    expect(judged(exercise, values, "332 kPa").says).toBe("You forgot the 101 kPa of air.");
    expect(judged(exercise, values, "3.32 bar").says).toBe("You forgot the 101 kPa of air.");
    expect(judged(exercise, values, "130").says).toBe("You took it off twice.");
  });

  it("that nobody thought of is told no more than that it is not right", () => {
    expect(judged(exercise, values, "200")).toEqual({ right: false, says: "Not that. Look again, or take a hint." });
  });

  it("is never told where the right one is given", () => {
    const close = { answer: pressure, wrong: [{ answer: "232", says: "No." }] };
    expect(judged(close, none, "232").right).toBe(true);
  });
});

describe("what the tool found", () => {
  it("is typed as somebody would", () => {
    expect(toolAnswer(pressure, 231.25)).toBe("231.25 kPa");
    expect(toolAnswer({ kind: "order", options: [], is: [] }, "b, a,c")).toEqual(["b", "a", "c"]);
    expect(toolAnswer({ kind: "bits", is: "01" }, "01")).toBe("01");
  });

  it("is read again, however small", () => {
    expect(
      judge(
        { kind: "quantity", is: "1.75e-6", unit: "W", tolerance: 1e-8 },
        toolAnswer(power, 1.75e-6).toString().replace("dBm", "W"),
      ).right,
    ).toBe(true);
  });
});
