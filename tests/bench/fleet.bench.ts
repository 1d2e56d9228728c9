import { whyNoFleet } from "../support/fleet-programs.mjs";
import { fleetFaults } from "./fleetFaults.ts";
import { fleetLines } from "./fleetLines.ts";
import { fleetStudy } from "./fleetStudy.ts";

/** Parts of it, each a measurement of its own. */
const parts = [fleetLines, fleetStudy, fleetFaults];

/**
 * A fleet of NATS and PostgreSQL servers, started here: what it takes and stores, and what becomes of that when parts of
 * it die.
 *
 * @param options.draws Rounds of harm, 50 by default, and of the study, 5 by default.
 */
export default async function fleet(options: { seed: number; draws: number | undefined }): Promise<void> {
  const missing = whyNoFleet();
  if (missing !== undefined) return console.log(missing);
  for (const part of parts) await part(options);
}
