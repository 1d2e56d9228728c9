import { burstLines } from "./burstLines.ts";
import { send, startServer } from "./ingestLoad.ts";

const RECEIVERS = 8;
const LINES_PER_SECOND = 1000;
const LOOK_EVERY_MS = 5000;

/**
 * Memory of a server over time while lines come in at a steady pace: a straight line through it, after the first fifth,
 * whose slope should be nothing beside its own error.
 *
 * @param options.draws Minutes; 10 by default.
 */
export default async function soak({ seed, draws = 10 }: { seed: number; draws: number | undefined }): Promise<void> {
  const server = await startServer(RECEIVERS);
  const seconds = 60 * draws;
  const each = Math.floor((LINES_PER_SECOND * seconds) / RECEIVERS);
  const seen: { readonly minutes: number; readonly megabytes: number }[] = [];
  const started = performance.now();
  const timer = setInterval(() => {
    void server.ask("").then(({ rssBytes }) => {
      seen.push({ minutes: (performance.now() - started) / 60_000, megabytes: rssBytes / 1e6 });
    });
  }, LOOK_EVERY_MS);
  try {
    await Promise.all(
      server.ports.map((port, i) =>
        send(port, burstLines(each, 100 * seed + i), { perSecond: LINES_PER_SECOND / RECEIVERS }),
      ),
    );
    const { bursts } = await server.ask("rest");
    const settled = seen.filter(({ minutes }) => minutes > draws / 5);
    const { slope, error } = line(settled);
    console.log(`${draws} minutes at ${LINES_PER_SECOND} lines/s, ${bursts} bursts decoded`);
    console.log(
      `memory ${Math.min(...settled.map((one) => one.megabytes)).toFixed(0)} to ${Math.max(...settled.map((one) => one.megabytes)).toFixed(0)} MB`,
    );
    console.log(`slope ${slope.toFixed(2)} MB a minute, standard error ${error.toFixed(2)} (reach 0 within noise)`);
  } finally {
    clearInterval(timer);
    await server.end();
  }
}

/** Least squares. @source Any textbook of statistics, simple linear regression (from memory). */
function line(points: readonly { readonly minutes: number; readonly megabytes: number }[]) {
  const n = points.length;
  const meanX = points.reduce((sum, { minutes }) => sum + minutes, 0) / n;
  const meanY = points.reduce((sum, { megabytes }) => sum + megabytes, 0) / n;
  const xx = points.reduce((sum, { minutes }) => sum + (minutes - meanX) ** 2, 0);
  const xy = points.reduce((sum, { minutes, megabytes }) => sum + (minutes - meanX) * (megabytes - meanY), 0);
  const slope = xy / xx;
  const rest = points.reduce(
    (sum, { minutes, megabytes }) => sum + (megabytes - meanY - slope * (minutes - meanX)) ** 2,
    0,
  );
  return { slope, error: Math.sqrt(rest / (n - 2) / xx) };
}
