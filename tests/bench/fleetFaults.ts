import { FAULTS, fleetRounds } from "../support/fleet-rounds.ts";
import { median } from "./median.ts";

const ROUNDS = 50;

/**
 * Three NATS servers, PostgreSQL, two servers with three TCP receivers each, three workers, all in processes of their
 * own; round after round one of them is killed, stopped for a while or cut off, while receivers pour lines.
 *
 * @param options.draws Rounds; 50 by default.
 */
export async function fleetFaults({
  seed,
  draws = ROUNDS,
}: {
  seed: number;
  draws: number | undefined;
}): Promise<void> {
  const told = await fleetRounds({
    rounds: draws,
    seed,
    serverCount: 2,
    onRound: ({ fault, who, faultMs, longestAckMs, storedMs }, round) =>
      console.log(
        `round ${round}: ${fault} ${who}, ${seconds(faultMs)}; longest wait for an acknowledgement ${seconds(longestAckMs)}; all stored after ${seconds(storedMs)}`,
      ),
  });
  for (const fault of FAULTS) {
    const some = told.rounds.filter((round) => round.fault === fault);
    if (some.length === 0) continue;
    const acks = some.map(({ longestAckMs }) => longestAckMs);
    const stored = some.map(({ storedMs }) => storedMs);
    console.log(
      `${fault}: ${some.length} rounds; longest wait for an acknowledgement, median ${seconds(median(acks))}, most ${seconds(Math.max(...acks))}; until all was stored, median ${seconds(median(stored))}, most ${seconds(Math.max(...stored))}`,
    );
  }
  console.log(
    `${told.acknowledged} lines acknowledged: ${told.linesLost} lost, ${told.linesDoubled} doubled (reach 0, 0)`,
  );
  console.log(
    `${told.telegrams} telegrams in the same lines: ${told.telegramsLost} lost, ${told.telegramsDoubled} doubled (reach 0, 0)`,
  );
  for (const fault of told.faults) console.log(fault);
  if (told.faults.length > 0) throw new Error("the fleet did not keep what it promised");
}

function seconds(ms: number): string {
  return `${(ms / 1000).toFixed(1)} s`;
}
