import { openSqliteStore } from "../../server/store/sqlite.ts";
import { line, receiver } from "./store-data.ts";

// Run by a test as a process of its own, and killed: keeps lines until it dies, and says which calls have settled.
const store = await openSqliteStore(process.argv[2] ?? "");
await store.addReceiver(receiver("r1"));
for (let sequence = 1; ; sequence += 3) {
  await store.keepLines("r1", [line(sequence), line(sequence + 1), line(sequence + 2)]);
  process.stdout.write(`${sequence + 2}\n`);
}
