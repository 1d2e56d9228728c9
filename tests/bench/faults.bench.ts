import { rmSync } from "node:fs";
import { temporaryFolder } from "../support/folder.ts";
import { openBench } from "../support/http-bench.ts";
import { openHub } from "../support/hub-bench.ts";
import { killRounds } from "../support/kill-rounds.ts";
import { sendMutatedLines } from "../support/mutated-lines.ts";
import { sendMutatedUploads } from "../support/mutated-uploads.ts";

/** Kills in one store, which is then put aside: looking at all of it after each takes longer and longer. */
const KILLS_TOGETHER = 20;

/** Of what went wrong. */
const MOST_TOLD = 20;

/**
 * What is tried in the tests in short, in full: kills of a server under load of six TCP and two serial receivers, broken
 * lines and broken uploads. The last line of each part says what was lost; anything but nothing is an error.
 *
 * @param options.draws Kills; 200 by default. Lines are fifty times, uploads five times as many.
 */
export default async function faults({
  seed,
  draws = 200,
}: {
  seed: number;
  draws: number | undefined;
}): Promise<void> {
  const found: string[] = [];
  let kills = 0;
  let acknowledged = 0;
  while (kills < draws) {
    const folder = temporaryFolder("kills");
    const some = Math.min(KILLS_TOGETHER, draws - kills);
    const told = await killRounds(folder, { kills: some, tcpCount: 6, serialCount: 2, seed: 1000 * seed + kills });
    rmSync(folder, { recursive: true });
    kills += told.kills;
    acknowledged += told.acknowledged;
    found.push(...told.faults);
  }
  console.log(`${kills} kills, ${acknowledged} lines acknowledged: ${found.length} lost, doubled or unnamed`);

  const hub = await openHub();
  const lines = await sendMutatedLines(hub.hub, 50 * draws, seed);
  await hub.close();
  console.log(`${50 * draws} broken lines: ${lines.kept} kept, ${lines.aside} put aside, ${lines.errors} answered`);
  console.log(`good lines behind them acknowledged within ${lines.slowestMs.toFixed(0)} ms (reach 5000)`);

  const bench = await openBench();
  const uploads = await sendMutatedUploads(bench, 5 * draws, seed);
  found.push(...uploads.faults, ...bench.logged);
  await bench.close();
  console.log(`${5 * draws} broken uploads: ${uploads.taken} taken, ${uploads.refused} refused`);
  console.log(`slowest answer ${uploads.slowestMs.toFixed(0)} ms (reach 5000), ${uploads.faults.length} faults`);
  if (found.length > 0) throw new Error(found.slice(0, MOST_TOLD).join("\n"));
}
