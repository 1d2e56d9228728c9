import { columnsOf } from "../../decoders/checks/columns.ts";
import { minimumDistance } from "../../decoders/checks/distance.ts";
import type { Check, Layout } from "../../decoders/layouts/schema.ts";
import { checkWidth } from "../../decoders/layouts/validate.ts";
import { inMhz } from "./words.ts";

/** The layouts as text: two lines each, with what their checks catch, and a blank line between. */
export function layoutList(layouts: readonly Layout[]): string {
  return layouts.map(layoutLines).join("\n");
}

function layoutLines(layout: Layout): string {
  const keying = layout.modulation === "ask" ? "ASK" : `FSK ± ${(layout.deviationHz ?? 0) / 1000} kHz`;
  const air = [layout.carrierHz.map(inMhz).join(", "), keying, `${layout.symbolRate} symbols/s`, layout.lineCode];
  const checks =
    layout.checks.length === 0
      ? "no check: its telegrams stay unverified"
      : layout.checks.map((check) => checkWords(check, layout.bits)).join("; ");
  return `${layout.id}: ${layout.title}\n  ${air.join(", ")}, ${layout.bits} bits\n  ${checks}\n`;
}

/** A check, how many wrong bits it surely notices, and how often it agrees by mere chance. */
function checkWords(check: Check, frameBits: number): string {
  const chance = `agrees with chance bits 1 time in ${2 ** checkWidth(check)}`;
  switch (check.kind) {
    case "crc":
      return `CRC of ${check.width} bits: ${noticed(check, frameBits)}, ${chance}`;
    case "sum":
      return `sum of ${check.width} bits: notices any one wrong bit, not every two, ${chance}`;
    case "xor":
      return `exclusive-or of ${check.width} bits: ${noticed(check, frameBits)}, ${chance}`;
    case "parity":
      return `parity (${check.parity}): ${noticed(check, frameBits)}, ${chance}`;
  }
}

/** Distances of long frames take too long to count for a list that someone waits for. */
const COUNTED_BITS = 256;

function noticed(check: Check, frameBits: number): string {
  if (frameBits > COUNTED_BITS) return "notices any one wrong bit";
  const least = minimumDistance(columnsOf(check, frameBits));
  const surely = ("distance" in least ? least.distance : least.distanceAtLeast) - 1;
  return `notices any ${surely === 1 ? "one wrong bit" : `${surely} wrong bits`}`;
}
