import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { runCommand } from "../support/run-command.ts";

const NATS = "nats://127.0.0.1:4222";
const STORE = "postgres://127.0.0.1/yard";

describe("the options of a fleet", () => {
  it.each([
    [["serve", "--fleet", NATS], "--fleet: found no --store, allowed both"],
    [["serve", "--store", STORE], "--store: found no --fleet, allowed both"],
    [["serve", "--name", "bay"], "--name: found no --fleet"],
    [["serve", "--fleet", "http://h", "--store", STORE], "found http://h, allowed nats://HOST:PORT"],
    [["serve", "--fleet", NATS, "--store", "yard.db"], "an address such as postgres://"],
    [["serve", "--fleet", NATS, "--store", STORE, "--name", "bay 3"], "1 to 64 letters, digits, - and _"],
    [["work", "--store", STORE], "required option '--fleet <ADDRESS>'"],
    [["work", "--fleet", NATS], "required option '--store <ADDRESS>'"],
    [["work", "--fleet", "nats://", "--store", STORE], "found no host as server 1"],
    [["work", "--fleet", NATS, "--store", "postgres://h"], "an address such as postgres://"],
    [["work", "--fleet", NATS, "--store", STORE, "--workers", "0"], "a number of threads"],
  ])("are refused where they do not fit: %j", async (args, because) => {
    const { status, stderr } = await runCommand(args);
    expect(status).toBe(2);
    expect(stderr).toContain(because);
    expect(stderr.trim().split("\n")).toHaveLength(1);
  });
});

describe("one machine alone", () => {
  it("loads nothing of NATS and PostgreSQL", () => {
    const loaded = packagesOf("wheelgram.js");
    expect(loaded).toContain("commander");
    expect(loaded.filter((name) => name === "nats" || name === "pg")).toEqual([]);
    expect(packagesOf("fleet.js")).toEqual(expect.arrayContaining(["nats", "pg"]));
  });
});

/** What a built file loads before it does anything. */
function packagesOf(file: string, seen = new Set<string>()): string[] {
  if (seen.has(file)) return [];
  seen.add(file);
  const text = readFileSync(join(import.meta.dirname, "../../dist", file), "utf8");
  const names = [...text.matchAll(/^(?:import|export) .*?from "([^"]+)";$|^import "([^"]+)";$/gm)].map(
    ([, from, bare]) => from ?? bare ?? "",
  );
  return names.flatMap((name) => (name.startsWith("./") ? packagesOf(name.slice(2), seen) : [name]));
}
