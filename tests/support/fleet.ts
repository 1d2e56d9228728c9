import { whyNoFleet } from "./fleet-programs.mjs";

/**
 * Why the tests of the fleet cannot run here; `undefined`: they can, or must, since where the tests guard the project
 * doing without is a failure.
 */
export const noFleet: string | undefined = process.env["CI"] === "true" ? undefined : whyNoFleet();
