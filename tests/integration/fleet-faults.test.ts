import { describe, expect, it } from "vitest";
import { noFleet } from "../support/fleet.ts";
import { fleetRounds } from "../support/fleet-rounds.ts";

describe.skipIf(noFleet)("a fleet under load", () => {
  it("loses, doubles and turns round nothing when a NATS server, a worker or a server dies or is cut off", async () => {
    const plan = ["nats", "cut", "worker", "server"] as const;
    const told = await fleetRounds({ rounds: plan.length, seed: 4, plan });
    expect(told.faults).toEqual([]);
    expect(told).toMatchObject({ linesLost: 0, linesDoubled: 0, telegramsLost: 0, telegramsDoubled: 0 });
    expect(told.acknowledged).toBeGreaterThan(500);
    expect(told.telegrams).toBeGreaterThan(100);
  }, 400_000);
});
