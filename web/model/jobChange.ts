import type { PressureUnit } from "../../decoders/units.ts";
import type { JobChangeBody, JobInputBody } from "../../server/http/wire.ts";
import { inLine, pressureShown } from "./quantities.ts";

type JobKey = keyof JobInputBody;

/** A card with nothing on it but the four wheels that most cars have. */
export function emptyCard(receiverIds: readonly string[]): JobInputBody {
  return {
    plate: "",
    vehicle: "",
    odometerKm: null,
    complaint: "",
    placardFrontKpa: null,
    placardRearKpa: null,
    placardSpareKpa: null,
    ambientKpa: null,
    wheels: ["left front", "right front", "left rear", "right rear"].map((position) => ({ position, identity: null })),
    receiverIds: [...receiverIds],
    recordingHashes: [],
  };
}

/** The entries of a change that somebody else has changed since `base`, and to something else. */
export function contested(change: JobChangeBody, base: JobInputBody, now: JobInputBody): JobKey[] {
  return JOB_KEYS.filter((key) => key in change && !same(now[key], base[key]) && !same(now[key], change[key]));
}

/** One entry that two people wrote differently at the same time. */
export interface Difference {
  readonly key: JobKey;
  readonly label: string;
  readonly mine: string;
  readonly theirs: string;
}

/**
 * What a change would overwrite: the entries in which the card, as it is now, is not what the change says.
 *
 * @param change What was to be written.
 * @param now The card as somebody else has left it.
 */
export function differences(change: JobChangeBody, now: JobInputBody, unit: PressureUnit): Difference[] {
  return JOB_KEYS.flatMap((key) => {
    const mine = change[key];
    if (mine === undefined) return [];
    const said = { mine: entryWords(key, change, unit), theirs: entryWords(key, now, unit) };
    return same(mine, now[key]) ? [] : [{ key, label: LABELS[key], ...said }];
  });
}

const LABELS: Readonly<Record<JobKey, string>> = {
  plate: "Plate",
  vehicle: "Vehicle",
  odometerKm: "Odometer",
  complaint: "Complaint",
  placardFrontKpa: "Placard front",
  placardRearKpa: "Placard rear",
  placardSpareKpa: "Placard spare",
  ambientKpa: "Barometer",
  wheels: "Wheels",
  receiverIds: "Receivers",
  recordingHashes: "Recordings",
};

const JOB_KEYS = Object.keys(LABELS).filter((key): key is JobKey => key in LABELS);

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function entryWords(key: JobKey, card: JobChangeBody, unit: PressureUnit): string {
  switch (key) {
    case "plate":
    case "vehicle":
    case "complaint":
      return card[key] === "" ? "nothing" : String(card[key]);
    case "odometerKm":
      return card.odometerKm === null ? "nothing" : `${card.odometerKm} km`;
    case "placardFrontKpa":
    case "placardRearKpa":
    case "placardSpareKpa":
    case "ambientKpa": {
      const kpa = card[key] ?? null;
      return kpa === null ? "nothing" : inLine(pressureShown(kpa, unit));
    }
    case "wheels":
      return (card.wheels ?? [])
        .map(({ position, identity }) => `${position} ${identity ?? "no sensor ID"}`)
        .join(", ");
    case "receiverIds":
      return (card.receiverIds ?? []).join(", ") || "none";
    case "recordingHashes":
      return (card.recordingHashes ?? []).map((hash) => hash.slice(0, 8)).join(", ") || "none";
  }
}
