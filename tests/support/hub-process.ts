import { openSqliteStore } from "../../server/store/sqlite.ts";
import { createPool } from "../../server/work/pool.ts";
import { hubOf } from "./hub-bench.ts";

// Run by a test as a process of its own, and killed: a hub with one TCP receiver on the store that the argument names.
const store = await openSqliteStore(process.argv[2] ?? "");
const hub = await hubOf(store, createPool(1));
const [body] = await hub.receivers();
const { id, port } = body ?? (await hub.add({ kind: "tcp", name: "kerb side", port: 0 }));
process.stdout.write(`${JSON.stringify({ id, port })}\n`);
