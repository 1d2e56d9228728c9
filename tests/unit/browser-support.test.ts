import { spawnSync } from "node:child_process";
import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { withWords, wordsIn } from "../browser/pngWords.ts";
import BrowserSummary from "../support/browser-summary.mjs";
import { temporaryFolder } from "../support/folder.ts";

// What the browser tests rely on, tried without a browser.

const guard = new URL("../support/stay-inside.mjs", import.meta.url).href;

describe("a server under guard", () => {
  it.each([
    ["a connection by number", `require("net").connect(80, "192.0.2.1")`, "connection to 192.0.2.1"],
    ["a connection by name", `require("net").connect({ host: "wheelgram.example", port: 80 })`, "wheelgram.example"],
    ["a request", `fetch("http://192.0.2.1/").catch(() => process.exit(1))`, "connection to 192.0.2.1"],
    ["a look-up", `require("dns").lookup("wheelgram.example", () => undefined)`, "look-up of wheelgram.example"],
    ["a datagram", `require("dgram").createSocket("udp4")`, "a datagram socket"],
  ])("is refused %s, and says so", (_, program, said) => {
    const { status, stderr } = spawnSync(process.execPath, ["--import", guard, "-e", program], { timeout: 20_000 });
    expect(stderr.toString()).toContain("LEAVES THE MACHINE: ");
    expect(stderr.toString()).toContain(said);
    expect(status).toBe(1);
  });

  it("may speak to its own machine", () => {
    const program = `
      const { createServer, connect } = require("net");
      const server = createServer((socket) => socket.end("here")).listen(0, "127.0.0.1", () => {
        connect(server.address().port, "127.0.0.1").on("data", (bytes) => { console.log(String(bytes)); server.close(); });
      });`;
    const { stdout, stderr } = spawnSync(process.execPath, ["--import", guard, "-e", program], { timeout: 20_000 });
    expect(stderr.toString()).toBe("");
    expect(stdout.toString()).toBe("here\n");
  });
});

describe("a picture", () => {
  // One grey dot, as the specification's chunks make it.
  const png = Buffer.from(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==",
    "base64",
  );

  it("carries the words it was given, and is else as it was", () => {
    const words = "Spare: 31 % below placard, 18 °C";
    const carrying = withWords(png, words);
    expect(wordsIn(png)).toBeUndefined();
    expect(wordsIn(carrying)).toBe(words);
    const end = png.length - 12;
    expect(carrying.subarray(0, end)).toEqual(png.subarray(0, end));
    expect(carrying.subarray(-12)).toEqual(png.subarray(-12));
  });

  it("that is none is refused", () => {
    expect(() => withWords(Buffer.from("no picture"), "words")).toThrow(RangeError);
  });
});

describe("what is left of a run of browser tests", () => {
  it("has a test that was tried again once, as its last try went, and names what failed and what needed it", () => {
    const folder = temporaryFolder("counts");
    try {
      const file = join(folder, "counts.json");
      process.env["COUNTS_FILE"] = file;
      const summary = new BrowserSummary();
      const told = (id: string, outcome: string, status: string, message?: string) => {
        const location = { file: join(process.cwd(), "tests", `${id}.test.ts`) };
        const test = { id, title: `does ${id}`, location, ok: () => outcome !== "unexpected", outcome: () => outcome };
        summary.onTestEnd(test, { status, error: message === undefined ? undefined : { message } });
      };
      told("a", "expected", "passed");
      told("b", "unexpected", "timedOut", "\u001b[31mtoo late\u001b[39m\n  at line 3");
      told("b", "flaky", "passed");
      told("c", "unexpected", "failed", "not so");
      told("d", "skipped", "skipped");
      summary.onError({ message: "no browser" });
      summary.onEnd();
      expect(JSON.parse(readFileSync(file, "utf8"))).toEqual({
        counts: { passed: 2, failed: 2, skipped: 1 },
        failed: ["outside of the tests: no browser", "tests/c.test.ts › does c: not so"],
        again: ["tests/b.test.ts › does b: too late"],
      });
    } finally {
      delete process.env["COUNTS_FILE"];
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
