// What `npm start` runs, in a fresh clone too. Nothing up here may need a package, or a syntax that an old Node cannot
// read: the sentence about the version has to come before anything fails.
const [major, minor] = process.versions.node.split(".").map(Number);

// The versions that the tools which build this run on.
if ((major === 20 && minor >= 19) || (major === 22 && minor >= 12) || major > 22) {
  void import("./first-run.mjs").then(({ firstRun }) => firstRun());
} else {
  console.error(
    `Wheelgram needs Node 20.19 or later (of Node 22: 22.12 or later; not 21), and this is ${process.versions.node}. ` +
      "Install a newer Node and run npm start again.",
  );
  process.exitCode = 2;
}
