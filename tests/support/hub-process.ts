import type { Hub } from "../../server/receivers/hub.ts";
import { openStoreThread } from "../../server/store/storeThread.ts";
import { createPool } from "../../server/work/pool.ts";
import { hubOf } from "./hub-bench.ts";

// Run by a test as a process of its own, and killed: a hub on the store that the first argument names, with as many TCP
// receivers as the second one says, and one serial receiver for each path after it. Says their ids and ports in one
// line, and then, at every line it is sent, how they fare.
const [file = "", tcpCount = "1", ...paths] = process.argv.slice(2);
const hub: Hub = await hubOf(await openStoreThread(file), createPool(1));
const known = [...(await hub.receivers())];
if (known.length === 0) {
  for (let i = 0; i < Number(tcpCount); i++) known.push(await hub.add({ kind: "tcp", name: `receiver ${i}`, port: 0 }));
  for (const path of paths) known.push(await hub.add({ kind: "serial", name: path, path, baudRate: 115_200 }));
}
process.stdout.write(`${JSON.stringify(known.map(({ id, port, path }) => ({ id, port, path })))}\n`);
process.stdin.on("data", async () => process.stdout.write(`${JSON.stringify(await hub.receivers())}\n`));
