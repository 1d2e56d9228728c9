import fc from "fast-check";
import { type Layout, LINE_CODES } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";

type Check = Layout["checks"][number];

const bit = fc.integer({ min: 0, max: 1 });
const word = (least: number, most: number) =>
  fc.array(bit, { minLength: least, maxLength: most }).map((bits) => bits.join(""));
const hex = (bits: number) => fc.bigInt({ min: 0n, max: (1n << BigInt(bits)) - 1n }).map((n) => `0x${n.toString(16)}`);

/** Pulses of equal or of two lengths that end in silence, as a keyed pulse does, so that the last one is closed. */
const pulse = fc.constantFrom(
  { zero: "100", one: "110" },
  { zero: "1000", one: "1110" },
  { zero: "10", one: "1100" },
  { zero: "1000", one: "10" },
  { zero: "01", one: "001" },
);

/** Checks over a stretch of whole bytes, so that every kind and width fits it. */
const check = fc.oneof(
  fc.record({
    kind: fc.constant("crc" as const),
    width: fc.constantFrom(8, 9, 12, 13, 16, 17, 24, 32, 33, 48, 64),
    refin: fc.boolean(),
    refout: fc.boolean(),
  }),
  fc.record({ kind: fc.constant("sum" as const), width: fc.constantFrom(8, 16), complement: fc.boolean() }),
  fc.record({ kind: fc.constant("xor" as const), width: fc.constantFrom(8, 16) }),
);

const sizes = fc.record({ identityBits: fc.integer({ min: 8, max: 48 }), extraBytes: fc.integer({ min: 1, max: 12 }) });

/**
 * Layouts drawn from all that a layout file may say. Each has an identity, a signed and an unsigned number, a constant,
 * and a check of at least 8 bits, perhaps with a parity bit after it.
 */
export const randomLayout: fc.Arbitrary<Layout> = fc
  .record({
    lineCode: fc.constantFrom(...LINE_CODES),
    pulse,
    modulation: fc.constantFrom("ask" as const, "fsk" as const),
    symbolRate: fc.integer({ min: 2000, max: 40_000 }),
    deviationShare: fc.double({ min: 0.5, max: 2.5, noNaN: true }),
    sync: word(6, 10).map((text) => `1110010${text}1001`),
    preambleRepeat: fc.integer({ min: 8, max: 24 }),
    sizes,
    check,
    poly: fc.bigInt({ min: 0n, max: (1n << 64n) - 1n }),
    init: fc.bigInt({ min: 0n, max: (1n << 64n) - 1n }),
    parity: fc.option(fc.constantFrom("even" as const, "odd" as const), { nil: undefined }),
    whitening: fc.option(
      fc.record({ degree: fc.integer({ min: 3, max: 16 }), taps: hex(16), reversed: fc.boolean() }),
      {
        nil: undefined,
      },
    ),
    orders: fc.array(fc.constantFrom("msb-first" as const, "lsb-first" as const), { minLength: 4, maxLength: 4 }),
    constant: fc.integer({ min: 0, max: 15 }),
  })
  .map((drawn) => {
    const parsed = parseLayout(fileOf(drawn));
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
    return parsed.layout;
  });

type Drawn = {
  lineCode: Layout["lineCode"];
  pulse: { zero: string; one: string };
  modulation: "ask" | "fsk";
  symbolRate: number;
  deviationShare: number;
  sync: string;
  preambleRepeat: number;
  sizes: { identityBits: number; extraBytes: number };
  check:
    | { kind: "crc"; width: number; refin: boolean; refout: boolean }
    | { kind: "sum"; width: number; complement: boolean }
    | { kind: "xor"; width: number };
  poly: bigint;
  init: bigint;
  parity: "even" | "odd" | undefined;
  whitening: { degree: number; taps: string; reversed: boolean } | undefined;
  orders: readonly ("msb-first" | "lsb-first")[];
  constant: number;
};

function fileOf(drawn: Drawn): unknown {
  const { identityBits } = drawn.sizes;
  // Words of 16 bits must fit too, so the covered stretch is a multiple of two bytes.
  const numbers = 16 * Math.ceil((identityBits + 4 + 8 * drawn.sizes.extraBytes) / 16) - identityBits - 4;
  const unsignedBits = Math.min(40, Math.ceil(numbers / 2));
  const signedBits = Math.min(40, numbers - unsignedBits);
  const covered = identityBits + 4 + numbers;
  const order = (i: number) => ({ bitOrder: drawn.orders[i] });
  const checks = [checkOf(drawn, covered)];
  const checkBits = "width" in checks[0]! ? checks[0].width : 1;
  if (drawn.parity) {
    checks.push({ kind: "parity", parity: drawn.parity, covers: [[0, covered + checkBits]], at: covered + checkBits });
  }
  const degree = drawn.whitening?.degree ?? 1;
  return {
    id: "drawn",
    title: "A layout by chance",
    origin: "invented",
    carrierHz: [433_920_000],
    modulation: drawn.modulation,
    ...(drawn.modulation === "fsk" ? { deviationHz: Math.round(drawn.deviationShare * drawn.symbolRate) } : {}),
    symbolRate: drawn.symbolRate,
    lineCode: drawn.lineCode,
    ...(drawn.lineCode === "pulse" ? { pulse: drawn.pulse } : {}),
    preamble: { symbols: "10", repeat: drawn.preambleRepeat },
    sync: { symbols: drawn.sync },
    bits: covered + checkBits + (drawn.parity ? 1 : 0),
    ...(drawn.whitening
      ? {
          whitening: {
            poly: `0x${((1n << BigInt(degree)) | (BigInt(drawn.whitening.taps) & ((1n << BigInt(degree)) - 1n))).toString(16)}`,
            seed: `0x${((1n << BigInt(degree)) - 1n).toString(16)}`,
            reversedBytes: drawn.whitening.reversed,
          },
        }
      : {}),
    fields: [
      { name: "sensor", at: 0, bits: identityBits, type: "identity", ...order(0) },
      { name: "family", at: identityBits, bits: 4, type: "constant", equals: drawn.constant, ...order(1) },
      { name: "plus", at: identityBits + 4, bits: unsignedBits, type: "unsigned", ...order(2) },
      { name: "minus", at: identityBits + 4 + unsignedBits, bits: signedBits, type: "signed", ...order(3) },
    ],
    checks,
  };
}

function checkOf(drawn: Drawn, covered: number): Check {
  const { check: kind } = drawn;
  const mask = (1n << BigInt(kind.width)) - 1n;
  const text = (n: bigint) => `0x${(n & mask).toString(16)}`;
  const place = { covers: [[0, covered]] as [number, number][], at: covered };
  if (kind.kind === "crc") {
    // An even generator has a last bit that notices nothing; real ones are odd.
    return { ...kind, poly: text(drawn.poly | 1n), init: text(drawn.init), xorout: text(drawn.init >> 3n), ...place };
  }
  return { ...kind, init: text(drawn.init), ...place };
}
