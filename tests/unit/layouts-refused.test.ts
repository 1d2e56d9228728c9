import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";

/** A layout that uses every key, valid as it stands; each case spoils one thing of it. */
const good = {
  id: "quay-trailer",
  title: "Quay trailers",
  notes: "Invented.",
  origin: "invented",
  carrierHz: [433920000],
  modulation: "fsk",
  deviationHz: 30000,
  symbolRate: 10000,
  lineCode: "pulse",
  pulse: { zero: "100", one: "110" },
  preamble: { symbols: "10", repeat: 16 },
  sync: { symbols: "1110001011100010" },
  bits: 96,
  whitening: { poly: "0x211", seed: "0x1ff", reversedBytes: true },
  repeats: { count: 3, gapSeconds: 0.05 },
  fields: [
    { name: "sensor", at: 0, bits: 32, type: "identity", bitOrder: "lsb-first" },
    {
      name: "pressure",
      at: 32,
      bits: 8,
      type: "unsigned",
      quantity: "pressure",
      unit: "kPa",
      scale: 2.5,
      offset: 0,
      reference: "gauge",
      plausible: [0, 600],
    },
    { name: "state", at: 40, bits: 3, type: "code", means: "state", values: { "0": "parked", "7": "stored" } },
    { name: "family", at: 43, bits: 4, type: "constant", equals: 9 },
    { name: "low", at: 47, bits: 1, type: "flag", means: "battery-low" },
    { name: "temperature", at: 48, bits: 8, type: "signed", quantity: "temperature", unit: "degC" },
  ],
  checks: [
    {
      kind: "crc",
      width: 8,
      poly: "0x2f",
      init: "0xff",
      refin: true,
      refout: false,
      xorout: "0xff",
      covers: [[0, 56]],
      at: 56,
    },
    { kind: "sum", width: 8, init: "0x00", complement: true, covers: [[0, 64]], at: 64 },
    { kind: "xor", width: 4, init: "0x0", covers: [[0, 72]], at: 72 },
    { kind: "parity", parity: "even", covers: [[0, 76]], at: 76 },
  ],
};

const gone = Symbol("the key is left out");

// What is put where, the path the complaint must name (the same if left off), and what it must allow.
const refused: readonly (readonly [about: string, key: string, value: unknown, allowed: RegExp, path?: string])[] = [
  // Hex numbers wider than their width.
  ["a poly wider than the CRC", "checks[0].poly", "0x12f", /at most 8 bits/],
  ["an init wider than the CRC", "checks[0].init", "0x1ff", /at most 8 bits/],
  ["an xorout wider than the CRC", "checks[0].xorout", "0x100", /at most 8 bits/],
  ["an init wider than the sum", "checks[1].init", "0x100", /at most 8 bits/],
  ["an init wider than the exclusive-or", "checks[2].init", "0x10", /at most 4 bits/],
  ["a seed wider than the whitening", "whitening.seed", "0x200", /at most 9 bits/],
  ["hex of more than 17 digits", "checks[0].poly", "0x000000000000000000", /hex/],
  ["a number that is not in hex", "checks[0].poly", "47", /hex/],
  ["a poly of zero", "checks[0].poly", "0x00", /anything but 0/],
  ["a whitening poly without a power above zero", "whitening.poly", "0x1", /a power above 0/],

  // Overlaps and places outside the frame.
  ["fields that overlap", "fields[1].at", 31, /bits that fields\[0\] does not take/],
  ["a check on a field", "checks[3].at", 52, /bits that fields\[5\] does not take/],
  ["checks that overlap", "checks[3].at", 75, /bits that checks\[2\] does not take/],
  ["a field that leaves the frame", "fields[5].at", 90, /bits 0 to 95/],
  ["a check that leaves the frame", "checks[1].at", 89, /bits 0 to 95/],
  ["covered bits that leave the frame", "checks[0].covers[0]", [80, 24], /bits 0 to 95/],
  ["a check that covers itself", "checks[3].covers[0]", [70, 8], /bits outside it/],
  ["a frame too short for all of it", "bits", 76, /bits 0 to 75/, "checks[3].at"],

  // Covered bits that do not fill words.
  ["refin over bits that are no bytes", "checks[0].covers[0]", [0, 52], /multiple of 8/, "checks[0].covers"],
  ["a sum over part of a word", "checks[1].covers[0]", [0, 60], /multiple of 8/, "checks[1].covers"],
  ["an exclusive-or over part of a word", "checks[2].covers[0]", [0, 70], /multiple of 4/, "checks[2].covers"],
  ["a check that covers nothing", "checks[0].covers", [], /at least 1/],
  ["covered bits counted by zero", "checks[0].covers[0]", [0, 0], /at least 1/, "checks[0].covers[0][1]"],

  // Symbols.
  ["a sync with anything but 0 and 1", "sync.symbols", "11x0", /0 and 1/],
  ["an empty sync", "sync.symbols", "", /0 and 1/],
  ["a preamble with anything but 0 and 1", "preamble.symbols", "2", /0 and 1/],
  ["a preamble of more than 256 times", "preamble.repeat", 257, /at most 256/],
  ["a pulse with anything but 0 and 1", "pulse.zero", "1-0", /0 and 1/],
  ["pulses that cannot be told apart", "pulse.one", "100", /told from zero/],
  ["a pulse that is only the other one twice", "pulse.one", "100100", /told from zero/],
  ["line code pulse without pulses", "pulse", gone, /symbols of zero and one/],
  ["pulses with another line code", "lineCode", "nrz", /without line code pulse/, "pulse"],
  ["a line code that is none", "lineCode", "manchester", /manchester-ieee/],

  // Sizes.
  ["more than 4,096 bits", "bits", 4097, /at most 4096/],
  ["no bits", "bits", 0, /at least 1/],
  ["a number field over 53 bits", "fields[1].bits", 54, /at most 53/],
  ["an identity over 64 bits", "fields[0].bits", 65, /at most 64/],
  ["a flag of two bits", "fields[4].bits", 2, /1 for type flag/],
  ["a CRC over 64 bits", "checks[0].width", 65, /at most 64/],
  ["a sum over 32 bits", "checks[1].width", 33, /at most 32/],
  ["part of a bit", "fields[1].at", 32.5, /whole number/],

  // Keying.
  ["FSK without a deviation", "deviationHz", gone, /half the distance/],
  ["ASK with a deviation", "modulation", "ask", /nothing, with modulation ask/, "deviationHz"],
  ["a keying that is none", "modulation", "psk", /"ask", "fsk"/],
  ["no carrier", "carrierHz", [], /at least 1/],
  ["a carrier of no frequency", "carrierHz[0]", 0, /more than 0/],
  ["a symbol rate of nothing", "symbolRate", 0, /at least 10/],
  ["no copy at all", "repeats.count", 0, /at least 1/],

  // Fields.
  ["two fields of one name", "fields[1].name", "sensor", /other than that of fields\[0\]/],
  ["a pressure without a unit", "fields[1].unit", gone, /kPa, psi, bar/],
  ["a pressure in degrees", "fields[1].unit", "degC", /kPa, psi, bar/],
  ["a unit without a quantity", "fields[1].quantity", gone, /without a quantity/, "fields[1].unit"],
  ["a quantity of a flag", "fields[4].quantity", "count", /with type flag/],
  ["a reference for a temperature", "fields[5].reference", "gauge", /without quantity pressure/],
  ["a scale of zero", "fields[1].scale", 0, /any number but 0/],
  ["limits the wrong way round", "fields[1].plausible", [600, 0], /lower figure first/],
  ["words for a number", "fields[1].values", { "0": "flat" }, /with type unsigned/],
  ["a word for a number that does not fit", "fields[2].values", { "8": "gone" }, /0 to 7/, "fields[2].values.8"],
  ["a word for no number", "fields[2].values", { "01": "x" }, /whole number/, 'fields[2].values["01"]'],
  ["a constant without its number", "fields[3].equals", gone, /always stands there/],
  ["a constant that does not fit", "fields[3].equals", 16, /0 to 15/],
  ["a number to equal for a flag", "fields[4].equals", 1, /with type flag/],
  ["a bit order that is none", "fields[0].bitOrder", "lsb", /"msb-first", "lsb-first"/],
  ["a meaning that is none", "fields[4].means", "battery", /"battery-low"/],

  // Keys.
  ["a key of the layout that there is not", "symbolrate", 9600, /no such key/],
  ["a key of a field that there is not", "fields[0].colour", "red", /no such key/],
  ["a key of another kind of check", "checks[1].poly", "0x07", /no such key/],
  ["a kind of check that is none", "checks[0].kind", "fletcher", /"crc"/],
  ["a parity that is neither", "checks[3].parity", "mark", /"even", "odd"/],
  ["an id with capitals", "id", "Quay", /small letters/],
  ["an origin without its document", "origin", { published: "" }, /at least 1/, "origin.published"],
  ["no list of checks", "checks", gone, /a list/],
  ["no sync", "sync", gone, /an object/],
];

describe("a layout is refused for", () => {
  const cases = refused.map(([about, key, value, allowed, path = key]) => ({ about, key, value, allowed, path }));
  it.each(cases)("$about: $key", ({ key, value, allowed, path }) => {
    const parsed = parseLayout(spoiled(key, value));
    expect(parsed.ok).toBe(false);
    if (parsed.ok) return;
    const complaint = parsed.complaints.find((one) => one.path === path && allowed.test(one.allowed));
    expect(complaint, parsed.complaints.map(complaintLine).join("\n")).toBeDefined();
  });

  it("nothing, as it stands before it is spoiled", () => {
    expect(parseLayout(good)).toEqual({ ok: true, layout: good });
  });
  it("nothing, with no checks at all or with what may be left off left off", () => {
    expect(parseLayout({ ...good, checks: [] }).ok).toBe(true);
    const { notes, whitening, repeats, ...bare } = good;
    expect([notes, whitening, repeats].every(Boolean)).toBe(true);
    expect(parseLayout(bare).ok).toBe(true);
  });
});

describe("a complaint", () => {
  it("says what was found, what is allowed and where, in one line", () => {
    const parsed = parseLayout(spoiled("fields[0].bits", 70));
    expect(parsed.ok ? [] : parsed.complaints.map(complaintLine)).toEqual([
      "fields[0].bits: found 70, allowed at most 64",
    ]);
  });
  it("comes for every wrong thing at once", () => {
    const twice = { ...spoiled("bits", 4097), title: "" };
    const parsed = parseLayout(twice);
    expect(parsed.ok ? [] : parsed.complaints.map(({ path }) => path).toSorted()).toEqual(["bits", "title"]);
  });
});

it("never throws, whatever it is given", () => {
  fc.assert(
    fc.property(fc.anything(), (input) => {
      expect(parseLayout(input).ok).toBe(false);
    }),
  );
  const anyKey = fc.constantFrom(...refused.map(([, key]) => key));
  fc.assert(
    fc.property(anyKey, fc.jsonValue(), (key, value) => {
      const parsed = parseLayout(spoiled(key, value));
      if (!parsed.ok) expect(parsed.complaints.length).toBeGreaterThan(0);
    }),
    { numRuns: 500 },
  );
});

it("takes what it gave out", () => {
  for (const layout of builtinLayouts) {
    expect(parseLayout(JSON.parse(JSON.stringify(layout)))).toEqual({ ok: true, layout });
  }
});

/** The good layout with one key, such as `fields[2].bits`, set or left out. */
function spoiled(key: string, value: unknown): Record<string, unknown> {
  const copy: Record<string, unknown> = structuredClone(good);
  const parts = key.match(/[^.[\]]+/g) ?? [];
  const last = parts.pop() ?? "";
  let place = copy;
  for (const part of parts) place = inner(place[part]);
  if (value === gone) delete place[last];
  else place[last] = value;
  return copy;
}

function inner(value: unknown): Record<string, unknown> {
  if (!isRecord(value)) throw new RangeError(`no object to go into: ${JSON.stringify(value)}`);
  return value;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null;
}
