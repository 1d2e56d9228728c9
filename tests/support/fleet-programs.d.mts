/** The path of a NATS server of 2.9 or later, or `undefined`. */
export function natsServer(): string | undefined;
/** The folder of PostgreSQL's programs, 15 or later, or `undefined`. */
export function postgresFolder(): string | undefined;
/** Why the tests of the fleet cannot run here, in one sentence; `undefined`: they can. */
export function whyNoFleet(): string | undefined;
