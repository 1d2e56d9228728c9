import { describe, expect, it } from "vitest";
import { lineMessages, readLineMessage } from "../../server/fleet/lineMessage.ts";
import { later } from "../../server/fleet/lineState.ts";
import { lineSubject, PARTITIONS, partitionOf, receiverOf } from "../../server/fleet/partitions.ts";

const at = "2026-11-25T09:00:00.000001Z";
const line = (sequence: number, text = `{"sequence":${sequence}}`, boot = '["b 1","kerb"]') => ({
  boot,
  sequence,
  receivedAt: at,
  text,
});

describe("a message of lines", () => {
  it("gives back its lines, whatever words are in them", () => {
    const lines = [line(1), line(2, '{"a": "x y\\n ü "}'), line(9_007_199_254_740_991)];
    const [message] = lineMessages("r1", lines);
    expect(readLineMessage(message?.bytes ?? new Uint8Array())).toEqual(lines);
  });

  it("has the receiver, the boot and the sequence for its id where it holds one line", () => {
    expect(lineMessages("r1", [line(7)])[0]?.id).toBe("r1/%5B%22b%201%22%2C%22kerb%22%5D/7");
  });

  it("has the same id when the same is sent again, and another for others", () => {
    const id = (...lines: ReturnType<typeof line>[]) => lineMessages("r1", lines)[0]?.id;
    expect(id(line(1), line(2))).toBe(id(line(1), line(2)));
    expect(id(line(1), line(3))).not.toBe(id(line(1), line(2), line(3)));
    expect(id(line(1, "a", ""))).toBe(id(line(1, "a", "")));
    expect(id(line(1, "a", ""))).not.toBe(id(line(1, "b", "")));
  });

  it("is never larger than it may be, but for a single line", () => {
    const lines = Array.from({ length: 100 }, (_, i) => line(i, "x".repeat(500)));
    const messages = lineMessages("r1", lines, 4000);
    expect(messages.flatMap((one) => readLineMessage(one.bytes))).toEqual(lines);
    expect(Math.max(...messages.map(({ bytes }) => bytes.length))).toBeLessThanOrEqual(4100);
  });

  it("holds lines of one boot", () => {
    const messages = lineMessages("r1", [line(1), line(1, "a", ""), line(2, "b", "")]);
    expect(messages.map((one) => one.lines.length)).toEqual([1, 2]);
  });

  it("makes a line of spaces small enough for NATS", () => {
    const long = line(1, `{"a":1${" ".repeat(1_000_000)}}`);
    const [message] = lineMessages("r1", [long]);
    expect(message?.bytes.length).toBeLessThan(10_000);
    expect(readLineMessage(message?.bytes ?? new Uint8Array())).toEqual([long]);
  });

  it.each(["", "x", "{}\n", '{"v":2,"boot":""}\n1 2 3\n'])("refuses %j, which nobody of ours wrote", (text) => {
    expect(() => readLineMessage(Buffer.from(text))).toThrow();
  });
});

describe("a partition", () => {
  it("is the same for a receiver at all times, and all are used", () => {
    const all = Array.from({ length: 2000 }, (_, i) => partitionOf(`receiver${i}`));
    expect(new Set(all).size).toBe(PARTITIONS);
    // First byte of SHA-256, by Node's own and by hand: whoever changes it loses what lies in streams.
    expect([partitionOf("0f66370c"), partitionOf("f29f92f2")]).toEqual([53, 16]);
    expect(receiverOf(lineSubject("0f66370c"))).toBe("0f66370c");
  });

  it("has no room for what is no id", () => {
    expect(() => lineSubject("a.b")).toThrow(RangeError);
    expect(() => lineSubject("*")).toThrow(RangeError);
  });
});

describe("when a line came", () => {
  it("is its own time, or a microsecond after the line before it", () => {
    expect(later(at, undefined)).toBe(at);
    expect(later("2026-11-25T09:00:01.000000Z", at)).toBe("2026-11-25T09:00:01.000000Z");
    expect(later(at, at)).toBe("2026-11-25T09:00:00.000002Z");
    expect(later(at, "2026-11-25T09:00:59.999999Z")).toBe("2026-11-25T09:01:00.000000Z");
  });
});
