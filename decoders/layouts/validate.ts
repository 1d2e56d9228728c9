import { type Complaint, complaintsOf, shown } from "./complaint.ts";
import { type Check, type Field, type Layout, LayoutShape } from "./schema.ts";

export type ParsedLayout =
  | { readonly ok: true; readonly layout: Layout }
  | { readonly ok: false; readonly complaints: readonly Complaint[] };

/**
 * A layout from the JSON value of a layout file, or every complaint about it, each with its key's path.
 *
 * @param input Any JSON value. Never throws.
 */
export function parseLayout(input: unknown): ParsedLayout {
  const parsed = LayoutShape.safeParse(input);
  if (!parsed.success) return { ok: false, complaints: complaintsOf(parsed.error, input) };
  const complaints = meaningComplaints(parsed.data);
  return complaints.length > 0 ? { ok: false, complaints } : { ok: true, layout: parsed.data };
}

/** Bits that a check's value takes. */
export function checkWidth(check: Check): number {
  return check.kind === "parity" ? 1 : check.width;
}

function meaningComplaints(layout: Layout): Complaint[] {
  return [
    ...modulationComplaints(layout),
    ...lineCodeComplaints(layout),
    ...whiteningComplaints(layout),
    ...layout.fields.flatMap((field, i) => fieldComplaints(field, `fields[${i}]`)),
    ...layout.checks.flatMap((check, i) => checkComplaints(check, `checks[${i}]`, layout.bits)),
    ...nameComplaints(layout),
    ...placeComplaints(layout),
  ];
}

function modulationComplaints(layout: Layout): Complaint[] {
  if (layout.modulation === "fsk" && layout.deviationHz === undefined) {
    return [{ path: "deviationHz", found: "nothing", allowed: "half the distance between the two frequencies, in Hz" }];
  }
  if (layout.modulation === "ask" && layout.deviationHz !== undefined) {
    return [{ path: "deviationHz", found: shown(layout.deviationHz), allowed: "nothing, with modulation ask" }];
  }
  return [];
}

function lineCodeComplaints(layout: Layout): Complaint[] {
  const { pulse } = layout;
  if (layout.lineCode !== "pulse") {
    return pulse ? [{ path: "pulse", found: shown(pulse), allowed: "nothing, without line code pulse" }] : [];
  }
  if (!pulse) return [{ path: "pulse", found: "nothing", allowed: "the symbols of zero and one" }];
  // Two words over an alphabet can be told apart in any row of them exactly when they do not commute.
  if (pulse.zero + pulse.one === pulse.one + pulse.zero) {
    return [
      { path: "pulse.one", found: shown(pulse.one), allowed: `symbols that can be told from zero, ${pulse.zero}` },
    ];
  }
  return [];
}

function whiteningComplaints(layout: Layout): Complaint[] {
  if (!layout.whitening) return [];
  const poly = BigInt(layout.whitening.poly);
  if (poly < 2n) return [{ path: "whitening.poly", found: layout.whitening.poly, allowed: "a power above 0" }];
  const degree = poly.toString(2).length - 1;
  return tooWide("whitening.seed", layout.whitening.seed, degree);
}

function tooWide(path: string, text: string, width: number): Complaint[] {
  return BigInt(text) >> BigInt(width) === 0n
    ? []
    : [{ path, found: text, allowed: `a number of at most ${width} bits` }];
}

const UNITS_OF: Record<string, readonly string[]> = {
  pressure: ["kPa", "psi", "bar"],
  temperature: ["degC", "degF"],
  voltage: ["V"],
  acceleration: ["m/s2"],
  count: [],
};

function fieldComplaints(field: Field, path: string): Complaint[] {
  const complaints: Complaint[] = [];
  const refuse = (key: string, found: unknown, allowed: string) =>
    complaints.push({ path: `${path}.${key}`, found: shown(found), allowed });

  if (field.name === "__proto__") refuse("name", field.name, "another name");
  if (field.type !== "identity" && field.bits > 53) refuse("bits", field.bits, `at most 53 for type ${field.type}`);
  if (field.type === "flag" && field.bits !== 1) refuse("bits", field.bits, "1 for type flag");

  if (field.quantity) {
    const units = UNITS_OF[field.quantity] ?? [];
    if (field.unit === undefined && units.length > 0) refuse("unit", undefined, units.join(", "));
    if (field.unit !== undefined && !units.includes(field.unit)) {
      refuse("unit", field.unit, units.length > 0 ? units.join(", ") : `nothing, with quantity ${field.quantity}`);
    }
    if (field.type !== "unsigned" && field.type !== "signed") {
      refuse("quantity", field.quantity, `nothing, with type ${field.type}`);
    }
  } else if (field.unit !== undefined) refuse("unit", field.unit, "nothing, without a quantity");
  if (field.reference !== undefined && field.quantity !== "pressure") {
    refuse("reference", field.reference, "nothing, without quantity pressure");
  }
  if (field.plausible && field.plausible[0] > field.plausible[1]) {
    refuse("plausible", field.plausible, "the lower figure first");
  }
  if (field.values && field.type !== "code") refuse("values", field.values, `nothing, with type ${field.type}`);
  for (const key of Object.keys(field.values ?? {})) {
    if (field.bits <= 53 && Number(key) >= 2 ** field.bits) refuse(`values.${key}`, key, `0 to ${2 ** field.bits - 1}`);
  }
  if (field.type === "constant") {
    if (field.equals === undefined) refuse("equals", undefined, "the number that always stands there");
    else if (field.equals >= 2 ** field.bits) refuse("equals", field.equals, `0 to ${2 ** field.bits - 1}`);
  } else if (field.equals !== undefined) refuse("equals", field.equals, `nothing, with type ${field.type}`);
  return complaints;
}

function checkComplaints(check: Check, path: string, frameBits: number): Complaint[] {
  const complaints: Complaint[] = [];
  for (const key of ["poly", "init", "xorout"] as const) {
    const text = key in check ? (check as Partial<Record<typeof key, string>>)[key] : undefined;
    if (text !== undefined) complaints.push(...tooWide(`${path}.${key}`, text, checkWidth(check)));
  }
  if (check.kind === "crc" && BigInt(check.poly) === 0n) {
    complaints.push({ path: `${path}.poly`, found: check.poly, allowed: "anything but 0" });
  }
  check.covers.forEach(([first, count], i) => {
    if (first + count > frameBits) {
      const found = `bits ${first} to ${first + count - 1}`;
      complaints.push({ path: `${path}.covers[${i}]`, found, allowed: `bits 0 to ${frameBits - 1}` });
    }
    if (first < check.at + checkWidth(check) && check.at < first + count) {
      complaints.push({ path: `${path}.covers[${i}]`, found: "bits of the check itself", allowed: "bits outside it" });
    }
  });
  const covered = check.covers.reduce((sum, [, count]) => sum + count, 0);
  const word = check.kind === "crc" ? (check.refin ? 8 : 1) : check.kind === "parity" ? 1 : check.width;
  if (covered % word !== 0) {
    complaints.push({ path: `${path}.covers`, found: `${covered} bits`, allowed: `a multiple of ${word} bits` });
  }
  return complaints;
}

function nameComplaints(layout: Layout): Complaint[] {
  const first = new Map<string, number>();
  return layout.fields.flatMap((field, i) => {
    const earlier = first.get(field.name);
    first.set(field.name, earlier ?? i);
    if (earlier === undefined) return [];
    return [
      { path: `fields[${i}].name`, found: shown(field.name), allowed: `a name other than that of fields[${earlier}]` },
    ];
  });
}

/** Fields and check values must lie in the frame and apart from each other. */
function placeComplaints(layout: Layout): Complaint[] {
  const places = [
    ...layout.fields.map((field, i) => ({ path: `fields[${i}]`, at: field.at, bits: field.bits })),
    ...layout.checks.map((check, i) => ({ path: `checks[${i}]`, at: check.at, bits: checkWidth(check) })),
  ];
  const complaints: Complaint[] = [];
  const inside = places.filter(({ path, at, bits }) => {
    if (at + bits <= layout.bits) return true;
    complaints.push({
      path: `${path}.at`,
      found: `bits ${at} to ${at + bits - 1}`,
      allowed: `bits 0 to ${layout.bits - 1}`,
    });
    return false;
  });
  inside.sort((a, b) => a.at - b.at);
  for (let i = 1; i < inside.length; i++) {
    const before = inside[i - 1]!;
    const here = inside[i]!;
    if (here.at < before.at + before.bits) {
      complaints.push({
        path: `${here.path}.at`,
        found: String(here.at),
        allowed: `bits that ${before.path} does not take`,
      });
    }
  }
  return complaints;
}
