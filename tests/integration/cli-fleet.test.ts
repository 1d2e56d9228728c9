import { expect, it } from "vitest";
import { runCommand } from "../support/run-command.ts";

// Nothing listens at port 1.
const NOWHERE = ["--fleet", "nats://127.0.0.1:1", "--store", "postgres://wheelgram@127.0.0.1:1/wheelgram"];

it("tells of a fleet of which nothing answers what that means and what to do, with status 1", async () => {
  const { status, stdout } = await runCommand(["fleet", ...NOWHERE]);
  expect(status).toBe(1);
  expect(stdout).toContain("■ No NATS server answers. Receivers are not acknowledged");
  expect(stdout).toContain("Start the NATS servers (127.0.0.1:1)");
  expect(stdout).toContain("■ PostgreSQL is away.");
}, 60_000);

it("tells programs the same, one JSON record a line", async () => {
  const { status, stdout } = await runCommand(["fleet", ...NOWHERE, "--json"]);
  const kinds = stdout
    .trim()
    .split("\n")
    .map((line) => JSON.parse(line).kind);
  expect([status, kinds]).toEqual([1, ["fleet", "trouble", "trouble", "nats"]]);
}, 60_000);

it("puts nothing back where nothing answers", async () => {
  const { status, stderr } = await runCommand(["fleet", ...NOWHERE, "--again", "bay-3"]);
  expect([status, stderr]).toEqual([
    1,
    "wheelgram: --again: NATS does not answer; see wheelgram fleet without --again.\n",
  ]);
}, 60_000);

it.each([
  [["fleet"], "required option '--fleet <ADDRESS>' not specified"],
  [["fleet", "--fleet", "http://10.0.0.1:4222", "--store", "postgres://a@b/c"], "allowed nats://HOST:PORT"],
  [["fleet", "--fleet", "nats://10.0.0.1:4222"], "required option '--store <ADDRESS>' not specified"],
  [["fleet", ...NOWHERE, "--again", ""], "--again"],
  [["work", ...NOWHERE, "--cache-gigabytes", "0"], "gigabytes above 0"],
  [["work", ...NOWHERE, "--cache", ""], "--cache"],
  [["study", "--fleet", "10.0.0.1", "lot"], "allowed nats://HOST:PORT"],
])("refuses %j", async (args, complaint) => {
  const { status, stdout, stderr } = await runCommand(args);
  expect([status, stdout]).toEqual([2, ""]);
  expect(stderr).toContain(complaint);
  expect(stderr.trim().split("\n")).toHaveLength(1);
});
