import type { PressureUnit } from "../../decoders/units.ts";
import type { JobChangeBody, JobInputBody } from "../../server/http/wire.ts";
import { numberTyped, pressureInBox, pressureTyped, type Typed } from "./typed.ts";

/** A card's entries as they stand in boxes for typing. */
export interface Draft {
  readonly plate: string;
  readonly vehicle: string;
  readonly odometerKm: string;
  readonly complaint: string;
  readonly placardFrontKpa: string;
  readonly placardRearKpa: string;
  readonly placardSpareKpa: string;
  readonly ambientKpa: string;
}

export type ChangedEntries =
  | { readonly ok: true; readonly change: JobChangeBody }
  | { readonly ok: false; readonly wrong: Readonly<Partial<Record<keyof Draft, string>>> };

export function draftOf(card: JobInputBody, unit: PressureUnit): Draft {
  return {
    plate: card.plate,
    vehicle: card.vehicle,
    odometerKm: card.odometerKm === null ? "" : String(card.odometerKm),
    complaint: card.complaint,
    placardFrontKpa: pressureInBox(card.placardFrontKpa, unit),
    placardRearKpa: pressureInBox(card.placardRearKpa, unit),
    placardSpareKpa: pressureInBox(card.placardSpareKpa, unit),
    ambientKpa: pressureInBox(card.ambientKpa, unit),
  };
}

/** The entries that were typed anew, or what is wrong with them. A box left alone changes nothing, not by a rounding. */
export function changedEntries(draft: Draft, before: Draft, unit: PressureUnit): ChangedEntries {
  const touched = (key: keyof Draft) => draft[key].trim() !== before[key].trim();
  const change: { -readonly [Key in keyof JobChangeBody]: JobChangeBody[Key] } = {};
  const wrong: Partial<Record<keyof Draft, string>> = {};
  for (const key of ["plate", "vehicle", "complaint"] as const) {
    if (touched(key)) change[key] = draft[key].trim();
  }
  for (const [key, read] of Object.entries(READ)) {
    if (!isNumberKey(key) || !touched(key)) continue;
    const typed = read(draft[key], unit);
    if (typed.ok) change[key] = typed.value;
    else wrong[key] = typed.says;
  }
  return Object.keys(wrong).length > 0 ? { ok: false, wrong } : { ok: true, change };
}

type NumberKey = "odometerKm" | "placardFrontKpa" | "placardRearKpa" | "placardSpareKpa" | "ambientKpa";

/** Bounds as the server has them, but for a placard of nothing, which is an empty box. */
const READ: Readonly<Record<NumberKey, (text: string, unit: PressureUnit) => Typed>> = {
  odometerKm: (text) => numberTyped(text, 0, 10_000_000, "The odometer in km"),
  placardFrontKpa: (text, unit) => pressureTyped(text, unit, 10, 2000, "A placard pressure"),
  placardRearKpa: (text, unit) => pressureTyped(text, unit, 10, 2000, "A placard pressure"),
  placardSpareKpa: (text, unit) => pressureTyped(text, unit, 10, 2000, "A placard pressure"),
  ambientKpa: (text, unit) => pressureTyped(text, unit, 30, 120, "The barometer"),
};

function isNumberKey(key: string): key is NumberKey {
  return Object.hasOwn(READ, key);
}
