import type { PressureUnit } from "../../decoders/units.ts";
import { emptyJob, type JobChangeBody, JobInputBody } from "../../server/http/wire.ts";
import { counted, frequencyShown, inLine, pressureShown } from "./quantities.ts";

type JobKey = keyof JobInputBody;

/** A new card, which listens to these receivers. */
export function emptyCard(receiverIds: readonly string[]): JobInputBody {
  const { wheels } = emptyJob();
  return { ...JobInputBody.parse(emptyJob()), wheels: [...wheels], receiverIds: [...receiverIds] };
}

/** The entries of a change that somebody else has changed since `base`, and to something else. */
export function contested(change: JobChangeBody, base: JobInputBody, now: JobInputBody): JobKey[] {
  return JOB_KEYS.filter((key) => key in change && !same(now[key], base[key]) && !same(now[key], change[key]));
}

/** The entries of a change by name, for a list of what was done: "Plate, Odometer". */
export function entryNames(change: JobChangeBody): string {
  return JOB_KEYS.filter((key) => key in change)
    .map((key) => LABELS[key])
    .join(", ");
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

/** The entries of a card as people call them, in the order of the card. */
const LABELS: Readonly<Record<JobKey, string>> = {
  plate: "Plate",
  vehicle: "Vehicle",
  kind: "Kind of vehicle",
  odometerKm: "Odometer",
  visit: "What brings it in",
  signedBefore: "Signed before the work",
  complaint: "Complaint",
  placardFrontKpa: "Placard front",
  placardRearKpa: "Placard rear",
  placardSpareKpa: "Placard spare",
  placardUnit: "Placard's unit",
  tyreType: "Tyre type",
  ambientKpa: "Barometer",
  ambientC: "Temperature outside",
  altitudeM: "Altitude",
  drivenLately: "Driven in the last three hours",
  expectedCarrierHz: "Frequency the vehicle expects",
  expectedLayout: "Layout the vehicle expects",
  vehicleList: "The vehicle's list",
  vehicleNotes: "Notes on such vehicles",
  wheels: "Wheels",
  walkOrder: "Order of the walk",
  wakes: "Wakes",
  moved: "Sensors moved",
  receiverIds: "Receivers",
  recordingHashes: "Recordings",
  answers: "Answers to steps",
  codesBefore: "Trouble codes before",
  codesAfter: "Trouble codes after",
  relearn: "Relearn",
  readBack: "Read back",
  proofFrom: "Second listening",
  lampOffBy: "Lamp off, seen by",
  finding: "Finding",
  cause: "Cause",
  done: "Done",
  advised: "Advised",
  notChecked: "Not checked",
};

const JOB_KEYS = Object.keys(LABELS).filter((key): key is JobKey => key in LABELS);

function same(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}

function entryWords(key: JobKey, card: JobChangeBody, unit: PressureUnit): string {
  switch (key) {
    case "odometerKm":
      return withUnit(card.odometerKm, "km");
    case "ambientC":
      return withUnit(card.ambientC, "°C");
    case "altitudeM":
      return withUnit(card.altitudeM, "m");
    case "expectedCarrierHz": {
      const hz = card.expectedCarrierHz ?? null;
      return hz === null ? "nothing" : inLine(frequencyShown(hz));
    }
    case "placardFrontKpa":
    case "placardRearKpa":
    case "placardSpareKpa":
    case "ambientKpa": {
      const kpa = card[key] ?? null;
      return kpa === null ? "nothing" : inLine(pressureShown(kpa, unit));
    }
    case "drivenLately":
      return card.drivenLately === null ? "nothing" : card.drivenLately ? "yes" : "no";
    case "wheels":
      return (card.wheels ?? []).map((wheel) => wheelWords(wheel, unit)).join("; ");
    case "readBack":
      return (card.readBack ?? []).map(({ position, identity }) => `${position} ${identity}`).join(", ") || "none";
    case "wakes":
      return counted((card.wakes ?? []).length, "wake");
    case "moved":
      return (card.moved ?? []).map(({ identity, to }) => `${identity} to ${to}`).join(", ") || "none";
    case "answers":
      return counted((card.answers ?? []).length, "answer");
    case "recordingHashes":
      return (card.recordingHashes ?? []).map((hash) => hash.slice(0, 8)).join(", ") || "none";
    case "receiverIds":
    case "walkOrder":
      return (card[key] ?? []).join(", ") || "none";
    default: {
      const text = card[key] ?? "";
      return text === "" ? "nothing" : text;
    }
  }
}

function wheelWords({ position, identity, handGaugeKpa, replaced }: Wheel, unit: PressureUnit): string {
  const parts = [`${position} ${identity ?? "no sensor ID"}`];
  if (handGaugeKpa !== null) parts.push(`hand gauge ${inLine(pressureShown(handGaugeKpa, unit))}`);
  if (replaced !== null) parts.push("new sensor");
  return parts.join(", ");
}

function withUnit(value: number | null | undefined, unit: string): string {
  return value === null || value === undefined ? "nothing" : `${value} ${unit}`;
}

type Wheel = JobInputBody["wheels"][number];
