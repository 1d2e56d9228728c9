import { createApp } from "../../server/http/app.ts";
import type { Bound } from "../../server/http/guard.ts";
import { openHouse } from "../../server/http/house.ts";
import { listen } from "../../server/http/listen.ts";

// Run by the bench as a process of its own: a server on the data folder that the argument names, with as many TCP
// receivers as the second one says. Says its address and ports in one line, and its memory at every line it is sent.
const [data = "", count = "1"] = process.argv.slice(2);
const log = (entry: string) => process.stderr.write(`${entry}\n`);
const house = await openHouse({
  data,
  samplesDir: undefined,
  version: "0.0.0-bench",
  now: Date.now,
  random: Math.random,
  log,
});
const ports: (number | null)[] = [];
for (let i = 0; i < Number(count); i++) {
  const { port } = await house.hub.add({ kind: "tcp", name: `receiver ${i}`, port: 0 });
  ports.push(port);
}
let bound: Bound | undefined;
const app = createApp({
  house,
  version: "bench",
  webDir: data,
  bound: () => bound,
  serialPorts: async () => [],
  now: Date.now,
  random: Math.random,
});
bound = (await listen(app, "127.0.0.1", 0)).bound;
process.stdout.write(`${JSON.stringify({ address: `http://127.0.0.1:${bound.port}`, ports })}\n`);
process.stdin.on("data", async (text: Buffer) => {
  if (text.includes("end")) process.exit(0);
  if (text.includes("rest")) await house.hub.rest();
  const receivers = await house.hub.receivers();
  const bursts = receivers.reduce((sum, one) => sum + one.bursts, 0);
  const telegrams = receivers.reduce((sum, one) => sum + one.telegrams, 0);
  process.stdout.write(`${JSON.stringify({ rssBytes: process.memoryUsage().rss, bursts, telegrams })}\n`);
});
