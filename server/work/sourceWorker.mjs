import { register } from "tsx/esm/api";

// Runs worker.ts as it is, in tests and in development: a thread of its own does not take over the loader of its parent.
register();
await import("./worker.ts");
