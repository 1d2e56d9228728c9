import { prepare } from "./prepare.mjs";

// What `npm run build` runs: both builds, whether or not they are stale.
if (!(await prepare({ decodersPackage: true, force: true }))) process.exitCode = 1;
