import { parseFleetAddress } from "../../server/fleet/address.ts";
import { connectFleet } from "../../server/fleet/connect.ts";
import { openStreams } from "../../server/fleet/streams.ts";
import { startWorkQueue } from "../../server/fleet/workQueue.ts";
import { collectHere } from "../../server/work/collector.ts";

// A worker in a process of its own that takes work and has no store: for studies. Told to end, it does so at the first
// sight of a recording whose name has a certain word in it, as if a fault of the decoder had ended the process.
//
// Arguments: address of NATS, name, folder for its cache, and the deadly name or "".
const [address = "", name = "", folder = "", deadly = ""] = process.argv.slice(2);
collectHere(); // as `wheelgram work` does
const parsed = parseFleetAddress(address);
if (!parsed.ok) throw new Error(parsed.error);
const say = (text: string) => console.error(`${name}: ${text}`);
const connection = await connectFleet(parsed.value, { name, say });
const streams = connection && (await openStreams(connection, { say }));
if (!connection || !streams) throw new Error("no connection");
const queue = await startWorkQueue({
  connection,
  streams,
  store: {
    recording: async () => undefined,
    setAnalysis: async () => undefined,
    saveAnalysis: async () => undefined,
    appendEvents: async () => 0,
  },
  name,
  threads: 1,
  cacheFolder: folder,
  cacheBytes: 200e6,
  now: Date.now,
  log: say,
});
setInterval(() => {
  if (deadly !== "" && queue.busyWith().some(({ what }) => what.includes(deadly))) process.kill(process.pid, "SIGKILL");
}, 1);
console.log("ready");
process.on("SIGTERM", () => void queue.stop().then(() => process.exit(0)));
