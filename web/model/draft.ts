import { type PressureUnit, type TemperatureUnit, temperatureIn } from "../../decoders/units.ts";
import type { JobChangeBody, JobInputBody } from "../../server/http/wire.ts";
import type { BoxKeys } from "./keptDraft.ts";
import { numberTyped, pressureInBox, pressureTyped, type Typed, temperatureTyped } from "./typed.ts";

type WordKey =
  | "plate"
  | "vehicle"
  | "complaint"
  | "signedBefore"
  | "expectedLayout"
  | "vehicleNotes"
  | "vehicleList"
  | "codesBefore"
  | "codesAfter"
  | "lampOffBy"
  | "finding"
  | "cause"
  | "done"
  | "advised"
  | "notChecked";
type NumberKey =
  | "odometerKm"
  | "placardFrontKpa"
  | "placardRearKpa"
  | "placardSpareKpa"
  | "ambientKpa"
  | "ambientC"
  | "altitudeM"
  | "expectedCarrierHz";
export type DraftKey = WordKey | NumberKey;

/** A card's entries as they stand in boxes for typing. */
export type Draft = Readonly<Record<DraftKey, string>>;

/** Units of the boxes. */
export interface BoxUnits {
  readonly pressure: PressureUnit;
  readonly temperature: TemperatureUnit;
}

export interface ChangedEntries {
  /** The entries that can be written. */
  readonly change: JobChangeBody;
  /** Of those that cannot: what is wrong, and what would do. */
  readonly wrong: Readonly<Partial<Record<DraftKey, string>>>;
}

export function draftOf(card: JobInputBody, units: BoxUnits): Draft {
  const words = Object.fromEntries(WORD_KEYS.map((key) => [key, card[key]]));
  const numbers = Object.fromEntries(NUMBER_KEYS.map((key) => [key, BOXES[key].text(card[key], units)]));
  return { ...NOTHING, ...words, ...numbers };
}

/** The entries that were typed anew. A box left alone changes nothing, not by a rounding. */
export function changedEntries(draft: Draft, before: Draft, units: BoxUnits): ChangedEntries {
  const touched = (key: DraftKey) => draft[key].trim() !== before[key].trim();
  const change: { -readonly [Key in keyof JobChangeBody]: JobChangeBody[Key] } = {};
  const wrong: Partial<Record<DraftKey, string>> = {};
  for (const key of WORD_KEYS) if (touched(key)) change[key] = draft[key].trim();
  for (const key of NUMBER_KEYS) {
    if (!touched(key)) continue;
    const typed = BOXES[key].read(draft[key], units);
    if (typed.ok) change[key] = typed.value;
    else wrong[key] = typed.says;
  }
  return { change, wrong };
}

interface Box {
  readonly text: (value: number | null, units: BoxUnits) => string;
  readonly read: (text: string, units: BoxUnits) => Typed;
}

const PLACARD: Box = {
  text: (kpa, { pressure }) => pressureInBox(kpa, pressure),
  read: (text, { pressure }) => pressureTyped(text, pressure, 10, 2000, "A placard pressure"),
};

/** Bounds as the server has them, but for a placard of nothing, which is an empty box. */
const BOXES: Readonly<Record<NumberKey, Box>> = {
  odometerKm: plain((text) => numberTyped(text, 0, 10_000_000, "The odometer in km")),
  placardFrontKpa: PLACARD,
  placardRearKpa: PLACARD,
  placardSpareKpa: PLACARD,
  ambientKpa: {
    text: (kpa, { pressure }) => pressureInBox(kpa, pressure),
    read: (text, { pressure }) => pressureTyped(text, pressure, 30, 120, "The barometer"),
  },
  ambientC: {
    text: (celsius, { temperature }) =>
      celsius === null ? "" : String(Number(temperatureIn(temperature, celsius).toFixed(1))),
    read: (text, { temperature }) => temperatureTyped(text, temperature, -60, 70, "The temperature outside"),
  },
  altitudeM: plain((text) => numberTyped(text, -500, 6000, "The altitude in metres")),
  expectedCarrierHz: {
    text: (hz) => (hz === null ? "" : String(hz / 1e6)),
    read(text) {
      const typed = numberTyped(text, 1, 6000, "The frequency in MHz");
      return typed.ok && typed.value !== null ? { ok: true, value: Math.round(typed.value * 1e6) } : typed;
    },
  },
};

function plain(read: (text: string) => Typed): Box {
  return { text: (value) => (value === null ? "" : String(value)), read };
}

const NOTHING: Draft = {
  plate: "",
  vehicle: "",
  complaint: "",
  signedBefore: "",
  expectedLayout: "",
  vehicleNotes: "",
  vehicleList: "",
  codesBefore: "",
  codesAfter: "",
  lampOffBy: "",
  finding: "",
  cause: "",
  done: "",
  advised: "",
  notChecked: "",
  odometerKm: "",
  placardFrontKpa: "",
  placardRearKpa: "",
  placardSpareKpa: "",
  ambientKpa: "",
  ambientC: "",
  altitudeM: "",
  expectedCarrierHz: "",
};

const isNumberKey = (key: string): key is NumberKey => Object.hasOwn(BOXES, key);
const isWordKey = (key: string): key is WordKey => Object.hasOwn(NOTHING, key) && !isNumberKey(key);
const WORD_KEYS = Object.keys(NOTHING).filter(isWordKey);
const NUMBER_KEYS = Object.keys(NOTHING).filter(isNumberKey);

/** What the device keeps of a card. */
export const JOB_BOXES: BoxKeys<DraftKey> = {
  isKey: (key): key is DraftKey => Object.hasOwn(NOTHING, key),
  isWord: (key) => isWordKey(key),
};
