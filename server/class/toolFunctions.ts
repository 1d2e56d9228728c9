import { BIT_FUNCTIONS } from "./tool/bitFunctions.ts";
import { JOB_FUNCTIONS } from "./tool/jobFunctions.ts";
import { PRESSURE_FUNCTIONS } from "./tool/pressureFunctions.ts";
import { RADIO_FUNCTIONS } from "./tool/radioFunctions.ts";

/** What the tool itself works out, by the names that a formula calls it by. */
export const TOOL_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  ...JOB_FUNCTIONS,
  ...BIT_FUNCTIONS,
  ...PRESSURE_FUNCTIONS,
  ...RADIO_FUNCTIONS,
};
