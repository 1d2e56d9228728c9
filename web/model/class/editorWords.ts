import type { AskedBody, ExerciseSetFileBody } from "../../../server/http/wire/exercises.ts";
import { unitShown } from "./answerDraft.ts";
import type { AnswerKind, JsonPart } from "./exerciseDraft.ts";

type Unit = Extract<AskedBody, { kind: "quantity" }>["unit"];
type Caution = NonNullable<ExerciseSetFileBody["exercises"][number]["cautions"]>[number];

// Each unit and caution that a file may name; a record, so that none is forgotten.
const UNITS: Readonly<Record<Unit, true>> = {
  kPa: true,
  bar: true,
  psi: true,
  hPa: true,
  degC: true,
  degF: true,
  K: true,
  Hz: true,
  kHz: true,
  MHz: true,
  m: true,
  cm: true,
  mm: true,
  s: true,
  ms: true,
  us: true,
  Bd: true,
  kBd: true,
  dB: true,
  dBm: true,
  W: true,
  mW: true,
  uW: true,
  nW: true,
  "uV/m": true,
  "mV/m": true,
  "dBuV/m": true,
  ohm: true,
  mohm: true,
  "%": true,
  "1": true,
};

/** Units to choose from, with how they are shown. */
export const UNIT_OPTIONS: readonly (readonly [string, string])[] = Object.keys(UNITS).map((unit) => [
  unit,
  unit === "1" ? "a plain number" : unitShown(unit),
]);

export const CAUTION_WORDS: Readonly<Record<Caution, string>> = {
  wheel: "Work on a wheel",
  inflation: "Inflating a tyre",
  vehicle: "Driving or relearning a vehicle",
  transmission: "Sending on these bands",
};

export const KIND_OPTIONS: readonly (readonly [AnswerKind, string])[] = [
  ["quantity", "a number with its unit"],
  ["bits", "bits"],
  ["hex", "hex digits"],
  ["words", "a word or a few"],
  ["choice", "one of several"],
  ["choices", "all that hold"],
  ["order", "an order"],
];

/** What stands for the right answer, by kind. */
export const IS_LABEL: Readonly<Record<AnswerKind, string>> = {
  quantity: "Right answer, a formula",
  bits: "Right answer, bits",
  hex: "Right answer, hex digits",
  words: "Right answer",
  choice: "Right option, its id",
  choices: "All right options, ids with commas between",
  order: "Right order, ids with commas between",
};

export const JSON_LABEL: Readonly<Record<JsonPart, string>> = {
  draws: "What is drawn",
  worked: "Worked out of it",
  scenario: "What is on the air",
  car: "Or a car with one fault",
  found: "Found in the recording",
  gives: "What is given",
  solvedBy: "How the tool finds it",
};

export const JSON_HELP: Readonly<Record<JsonPart, string>> = {
  draws: 'Names and what each is drawn from, such as {"kpa": {"from": 200, "to": 260, "step": 5}}.',
  worked: 'Formulas, such as {"half": "kpa / 2"}.',
  scenario: 'A scenario of the modulator. {"drawn": "kpa"} stands for a drawn value.',
  car: 'A cause by its id, such as {"fault": "flat-battery"}.',
  found: "Names for what the tool reads in the recording.",
  gives: "A list of texts, tables, symbols, signals, bursts or telegrams.",
  solvedBy: "A finding or a formula. It must come to the right answer in every draw.",
};
