import type { FleetAddress } from "../fleet/address.ts";
import { connectFleet } from "../fleet/connect.ts";
import { openStreams } from "../fleet/streams.ts";
import { createStudyRunner } from "../fleet/studyRunner.ts";
import type { StudyRunner } from "../study/runner.ts";
import { VERSION } from "./version.ts";

/** Recordings of a study on their way at once: enough for the workers of a dozen machines to be busy. */
const ON_THE_WAY = 64;

/**
 * Has the workers of a fleet analyse a study. Waits for NATS as long as that takes.
 *
 * @returns `undefined` if it was given up; stopping it closes its connection.
 * @throws FleetError for streams of another program.
 */
export async function fleetRunner(
  address: FleetAddress,
  say: (sentence: string) => void,
  signal: AbortSignal,
): Promise<StudyRunner | undefined> {
  const options = { name: "study", say, signal };
  const connection = await connectFleet(address, options);
  const streams = connection && (await openStreams(connection, options));
  if (!streams) {
    await connection?.close();
    return undefined;
  }
  const runner = createStudyRunner({ connection, streams, toolVersion: VERSION, size: ON_THE_WAY });
  return {
    ...runner,
    async stop() {
      await runner.stop();
      await connection.close();
    },
  };
}
