import { register } from "tsx/esm/api";

// Runs airWorker.ts as it is, in tests and in development: a thread does not take over the loader of its parent.
register();
await import("./airWorker.ts");
