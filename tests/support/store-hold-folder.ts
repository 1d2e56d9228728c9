import { openDataFolder } from "../../server/store/dataFolder.ts";

// Run by a test as a process of its own: holds a data folder until it is killed.
await openDataFolder(process.argv[2]);
process.stdout.write("held\n");
setInterval(() => undefined, 1000);
