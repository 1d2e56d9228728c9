import type { RandomGenerator } from "pure-rand/types/RandomGenerator";
import { type Check, type Field, type Layout, LINE_CODES } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { uniform } from "../../seeds/noise.ts";

type Some = <T>(...of: readonly T[]) => T;

/** A number of dice over one stream of chance. */
export function dice(random: RandomGenerator) {
  const whole = (least: number, most: number) => least + Math.floor(uniform(random) * (most + 1 - least));
  const some: Some = (...of) => of[whole(0, of.length - 1)]!;
  const happens = (share: number) => uniform(random) < share;
  const between = (least: number, most: number) => least + (most - least) * uniform(random);
  const symbols = (count: number) => Array.from({ length: count }, () => whole(0, 1)).join("");
  return { whole, some, happens, between, symbols };
}

export type Dice = ReturnType<typeof dice>;

const PUBLISHED = [
  { poly: "0x211", seed: "0x1ff", reversedBytes: true },
  { poly: "0x211", seed: "0x1ff" },
  { poly: "0x211", seed: "0x0f0" },
  { poly: "0x91", seed: "0x7f" },
] as const;

/**
 * A layout of 48 to 160 bits such as the contract allows: any keying, line code, order of fields, check.
 *
 * @param hasCheck Without one nothing may be claimed.
 */
export function randomLayout(dice: Dice, hasCheck: boolean): Layout {
  for (;;) {
    const parsed = parseLayout(draw(dice, hasCheck));
    if (parsed.ok && parsed.layout.bits >= 48 && parsed.layout.bits <= 160) return parsed.layout;
  }
}

function draw(dice: Dice, hasCheck: boolean): unknown {
  const { whole, some, happens, between, symbols } = dice;
  const modulation = some("ask", "fsk");
  const lineCode = some(...LINE_CODES);
  const widths = [
    { zero: "100", one: "110" },
    { zero: "1000", one: "1110" },
    { zero: "1000", one: "1100" },
    { zero: "11000", one: "11110" },
  ];
  // A distance ends with the next pulse, so that the last one of ASK is not seen.
  const distances = [
    { zero: "10", one: "100" },
    { zero: "10", one: "1000" },
    { zero: "110", one: "1100" },
  ];
  const fields = drawFields(dice);
  const check = hasCheck ? drawCheck(dice, fields.bits) : undefined;
  const bits = fields.bits + (check ? check.width : 0);
  const isEarly = check?.at !== undefined && check.at < fields.bits;
  const moved = fields.list.map((field) =>
    check && isEarly && field.at >= check.at ? { ...field, at: field.at + check.width } : field,
  );
  return {
    id: "drawn",
    title: "Drawn by chance",
    origin: "invented",
    carrierHz: [some(315e6, 433.92e6, 868.3e6)],
    modulation,
    ...(modulation === "fsk" ? { deviationHz: whole(18, 45) * 1000 } : {}),
    symbolRate: modulation === "fsk" ? whole(30, 200) * 100 : whole(50, 120) * 100,
    lineCode,
    ...(lineCode === "pulse" ? { pulse: modulation === "fsk" ? some(...widths, ...distances) : some(...widths) } : {}),
    preamble: some(
      { symbols: "10", repeat: whole(8, 30) },
      { symbols: "01", repeat: whole(8, 30) },
      { symbols: "1100", repeat: whole(5, 12) },
    ),
    sync: { symbols: symbols(8 * whole(1, 3)) },
    bits,
    ...(happens(0.15) ? { whitening: some<(typeof PUBLISHED)[number]>(...PUBLISHED) } : {}),
    repeats: { count: 3, gapSeconds: Number(between(0.03, 0.1).toFixed(3)) },
    fields: moved,
    checks: check ? [check.made] : [],
  };
}

function drawFields({ whole, some, happens }: Dice): { readonly list: Field[]; readonly bits: number } {
  const order = (): { bitOrder?: "lsb-first" } => (happens(0.12) ? { bitOrder: "lsb-first" } : {});
  const parts: Omit<Field, "at">[] = [{ name: "sensor", bits: whole(16, 32), type: "identity" }];
  const scale = some(0.5, 1, 1.25, 2, 2.5, 3, 4);
  const isAbsolute = happens(0.2);
  const least = Math.ceil(Math.log2((isAbsolute ? 480 : 380) / scale + 1));
  parts.push({
    name: "pressure",
    bits: Math.max(7, least + whole(0, 2)),
    type: "unsigned",
    ...order(),
    quantity: "pressure",
    unit: "kPa",
    scale,
    offset: 0,
    reference: isAbsolute ? "absolute" : "gauge",
  });
  const isSigned = happens(0.3);
  const step = some(1, 1, 1, 0.5, 2);
  parts.push({
    name: "temperature",
    bits: step === 0.5 ? 9 : 8,
    type: isSigned ? "signed" : "unsigned",
    ...order(),
    quantity: "temperature",
    unit: "degC",
    scale: step,
    offset: isSigned ? 0 : some(-40, -50, -30),
  });
  if (happens(0.5)) parts.push({ name: "low", bits: 1, type: "flag" });
  if (happens(0.5)) parts.push({ name: "state", bits: whole(2, 4), type: "code" });
  if (happens(0.4)) parts.push({ name: "count", bits: whole(3, 8), type: "unsigned", quantity: "count" });
  if (happens(0.5)) {
    const bits = whole(4, 12);
    parts.push({ name: "family", bits, type: "constant", equals: whole(0, 2 ** bits - 1) });
  }
  const shuffled = parts.map((part) => ({ part, key: whole(0, 1e6) })).sort((a, b) => a.key - b.key);
  // Sensors send their identity early more often than not.
  if (happens(0.6)) shuffled.sort((a, b) => Number(b.part.type === "identity") - Number(a.part.type === "identity"));
  const list: Field[] = [];
  let at = 0;
  for (const { part } of shuffled) {
    if (happens(0.15)) at += whole(1, 4);
    list.push({ ...part, at } as Field);
    at += part.bits;
  }
  const bits = 8 * Math.ceil(at / 8);
  return { list, bits };
}

interface DrawnCheck {
  readonly made: Check;
  readonly width: number;
  readonly at: number;
}

function drawCheck(dice: Dice, messageBits: number): DrawnCheck {
  const { whole, some, happens } = dice;
  const kind = some("crc", "crc", "crc", "crc", "crc", "crc", "sum", "xor");
  const width = kind === "crc" ? some(8, 8, 8, 16, 16, whole(9, 15)) : 8;
  const place = some("last", "last", "last", "last", "first", "within");
  const at = place === "last" ? messageBits : place === "first" ? 0 : 8 * whole(2, messageBits / 8 - 1);
  const skipped = place === "last" && happens(0.2) ? 8 * whole(1, 2) : 0;
  const covers: [number, number][] = [];
  if (at > skipped) covers.push([skipped, at - skipped]);
  if (at < messageBits) covers.push([at + width, messageBits - at]);
  const hex = (value: bigint) => `0x${value.toString(16)}`;
  const any = () => BigInt(whole(0, 2 ** width - 1));
  if (kind === "sum") {
    const init = hex(some(0n, 0n, any()));
    return { width, at, made: { kind, width, init, ...(happens(0.3) ? { complement: true } : {}), covers, at } };
  }
  if (kind === "xor") return { width, at, made: { kind, width, init: hex(some(0n, any())), covers, at } };
  const [refin, refout] = some(
    [false, false],
    [false, false],
    [true, true],
    [true, true],
    [true, false],
    [false, true],
  );
  const all = 2n ** BigInt(width) - 1n;
  return {
    width,
    at,
    made: {
      kind: "crc",
      width,
      poly: hex(any() | 1n),
      init: hex(some(0n, all, any())),
      refin,
      refout,
      xorout: hex(some(0n, 0n, all, any())),
      covers,
      at,
    },
  };
}
