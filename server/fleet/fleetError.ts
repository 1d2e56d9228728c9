/** Why the servers of a fleet cannot be used as they are, with the way out. */
export class FleetError extends Error {
  override readonly name = "FleetError";

  constructor(because: string, wayOut: string) {
    super(`${because} ${wayOut}`);
  }
}
