import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import packageJson from "../../package.json" with { type: "json" };
import { RecordBody } from "../../server/http/wire.ts";
import { temporaryFolder } from "../support/folder.ts";
import { runCommand } from "../support/run-command.ts";

const top = fileURLToPath(new URL("../..", import.meta.url));
const sample = (name: string) => join(top, "samples", name);
const folder = temporaryFolder("cli");
const pilotCar = join(top, "decoders/layouts/pilot-car.json");

describe("analyse", () => {
  it("answers first, then a line a telegram, then why the rest could not be read", async () => {
    const ran = await runCommand(["analyse", sample("dumb-sensor.sigmf-meta")]);
    expect(ran).toMatchObject({ status: 0, stderr: "" });
    const [first = ""] = ran.stdout.split("\n");
    expect(first).toMatch(/^[A-Z][a-z]+ sensors? heard: [0-9a-f, ]+; .* bursts/);
    expect(ran.stdout).toMatch(/kPa gauge/);
    expect(ran.stdout).not.toMatch(/\p{Cc}(?<!\n)|undefined|NaN|null/u);
  });

  it("gives JSON Lines that fit their schema, a summary last, each file's in order of time", async () => {
    const files = ["sound-car.sigmf-meta", "interferer.sigmf-meta", "sound-car.ndjson"].map(sample);
    const ran = await runCommand(["analyse", "--json", ...files]);
    expect(ran).toMatchObject({ status: 0, stderr: "" });
    const records = ran.stdout
      .trimEnd()
      .split("\n")
      .map((line) => RecordBody.parse(JSON.parse(line)));
    for (const file of files) {
      const own = records.filter((record) => record.file === file);
      const bursts = own.filter((record) => record.kind === "burst");
      const telegrams = own.filter((record) => record.kind === "telegram");
      expect(own.at(-1)).toMatchObject({ kind: "summary", bursts: bursts.length, telegrams: telegrams.length });
      const times = bursts.map((burst) => burst.atSeconds);
      expect(times).toEqual(times.toSorted((a, b) => a - b));
      expect(bursts.length).toBeGreaterThan(0);
    }
    expect(records.filter((record) => record.kind === "telegram").length).toBeGreaterThan(3);
  });

  it("gives the same records however the recording reaches it", async () => {
    const options = rawOptions();
    const stdin = readFileSync(sample("sound-car.sigmf-data"));
    const told = async (args: readonly string[], bytes?: Uint8Array) => {
      const ran = await runCommand(["analyse", "--json", ...args], bytes ? { stdin: bytes } : {});
      expect(ran.status).toBe(0);
      return ran.stdout
        .trimEnd()
        .split("\n")
        .map((line) => ({ ...JSON.parse(line), file: "", samplesPerSecond: 0 }));
    };
    const expected = await told([sample("sound-car.sigmf-meta")]);
    expect(await told(["-", ...options], stdin)).toEqual(expected);
    expect(await told([sample("sound-car.sigmf-data"), ...options])).toEqual(expected);
    expect(expected.length).toBeGreaterThan(5);
  });

  it("goes on after a file that cannot be read, and says so in its status", async () => {
    const ran = await runCommand(["analyse", "gone.wav", sample("sound-car.ndjson")]);
    expect(ran.status).toBe(2);
    expect(ran.stderr).toBe("gone.wav: file: found no such file, allowed a file that can be read\n");
    expect(ran.stdout).toContain(`${sample("sound-car.ndjson")}: `);
    expect(ran.stdout).toContain("heard: ");
  });

  it("decodes the good lines of a file, tells the bad ones and fails with 1", async () => {
    const lines = readFileSync(sample("sound-car.ndjson"), "utf8").split("\n");
    const path = join(folder, "half.ndjson");
    const good = await runCommand(["analyse", "--json", sample("sound-car.ndjson")]);
    writeFileSync(path, [lines[0], '{"type":"burst"}', ...lines.slice(1, -1), "nonsense", ""].join("\n"));
    const ran = await runCommand(["analyse", "--json", path]);
    expect(ran.status).toBe(1);
    expect(ran.stderr.trimEnd().split("\n")).toEqual([
      expect.stringMatching(/half\.ndjson:2: sequence: found nothing/),
      expect.stringMatching(/half\.ndjson:\d+: byte 0: found "n"/),
    ]);
    expect(ran.stdout.replaceAll(path, "x")).toBe(good.stdout.replaceAll(sample("sound-car.ndjson"), "x"));
    const both = await runCommand(["analyse", "--json", path, "gone.wav"]);
    expect(both.status).toBe(2);
  });

  it("takes layouts added to the built-in ones, or in their place", async () => {
    const own = join(folder, "own.json");
    writeFileSync(own, readFileSync(pilotCar, "utf8").replace('"pilot-car"', '"other-car"'));
    const alone = await runCommand(["analyse", "--layouts", own, "--only-layouts", sample("sound-car.ndjson")]);
    expect(alone.status).toBe(0);
    expect(alone.stdout).toContain("other-car");
    expect(alone.stdout).not.toContain("pilot-car");
    const twice = await runCommand(["analyse", "--layouts", pilotCar, sample("sound-car.ndjson")]);
    expect(twice).toMatchObject({ status: 2, stdout: "" });
    expect(twice.stderr).toMatch(
      /pilot-car\.json: id: found "pilot-car", allowed an id that is not in [^\n]*--only-layouts[^\n]*\n$/,
    );
    const folderOf = await runCommand([
      "analyse",
      "--layouts",
      join(top, "decoders/layouts"),
      "--only-layouts",
      sample("sound-car.ndjson"),
    ]);
    expect(folderOf.status).toBe(0);
  });

  it("refuses a broken layout before anything is read", async () => {
    const broken = join(folder, "broken.json");
    writeFileSync(broken, readFileSync(pilotCar, "utf8").replace('"bits": 72', '"bits": 70'));
    const ran = await runCommand(["analyse", "--layouts", broken, sample("sound-car.ndjson")]);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/^[^\n]*broken\.json: checks\[0\][^\n]*\n$/);
  });
});

describe("wrong arguments", () => {
  it.each([
    [["analyse"], "missing required argument 'FILE'; see wheelgram analyse --help"],
    [["analyse", "--jsn", "x.wav"], "unknown option '--jsn' (Did you mean --json?); see wheelgram analyse --help"],
    [["analize", "x.wav"], "unknown command 'analize' (Did you mean analyse?); see wheelgram --help"],
    [["analyse", "--rate", "fast", "-"], "argument 'fast' is invalid. a number of Hz above 0"],
    [["analyse", "--carrier", "-5", "x.wav"], "argument '-5' is invalid"],
    [["analyse", "--carrier", "0x10", "x.wav"], "argument '0x10' is invalid"],
    [["analyse", "--type", "ri8", "-"], "allowed: ci16_le, ci8, cu8, cf32_le"],
    [["analyse", "--only-layouts", "x.wav"], "--only-layouts: found no --layouts"],
    [["layouts", "chek"], "too many arguments"],
    [["layouts", "check"], "missing required argument 'FILE'; see wheelgram layouts check --help"],
    [["synthesise", "x.json"], "required option '-o, --output <OUT>' not specified"],
    [["--jason"], "unknown option '--jason'"],
  ])("%j", async (args, told) => {
    const ran = await runCommand(args);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/^wheelgram: [^\n]+\n$/);
    expect(ran.stderr).toContain(told);
  });

  it("none at all show the help", async () => {
    const ran = await runCommand([]);
    expect(ran).toMatchObject({ status: 2, stdout: "" });
    expect(ran.stderr).toMatch(/^Examples:\n/);
  });
});

describe("help and version", () => {
  it("begin with examples, and go to standard output", async () => {
    for (const args of [["--help"], ["analyse", "--help"], ["layouts", "check", "-h"]]) {
      const ran = await runCommand(args);
      expect(ran).toMatchObject({ status: 0, stderr: "" });
      expect(ran.stdout).toMatch(/^Examples:\n {2}wheelgram analyse/);
      expect(ran.stdout).toContain("Usage: wheelgram");
    }
  });

  it("is that of the package", async () => {
    expect(await runCommand(["--version"])).toEqual({ status: 0, stdout: `${packageJson.version}\n`, stderr: "" });
  });
});

describe("layouts", () => {
  const files = readdirSync(join(top, "decoders/layouts")).filter((name) => name.endsWith(".json"));

  it("lists each with its frequency, keying, rate, line code, bits and checks", async () => {
    const ran = await runCommand(["layouts"]);
    expect(ran).toMatchObject({ status: 0, stderr: "" });
    for (const name of files) expect(ran.stdout).toContain(`${name.slice(0, -".json".length)}: `);
    expect(ran.stdout).toMatch(
      /pilot-car: .*\n {2}433\.920 MHz, FSK ± 35 kHz, 19200 symbols\/s, manchester-ieee, 72 bits\n {2}CRC of 8 bits: notices any \d wrong bits, agrees with chance bits 1 time in 256\n/,
    );
  });

  it("check: tells which files fit, one complaint a line for the others, and which cannot be read", async () => {
    const bad = join(folder, "bad.json");
    writeFileSync(bad, readFileSync(pilotCar, "utf8").replace('"bits": 72', '"bits": 5000').replace('"fsk"', '"psk"'));
    const text = join(folder, "text.json");
    writeFileSync(text, "bits = 72");
    const good = await runCommand(["layouts", "check", pilotCar]);
    expect(good).toEqual({ status: 0, stdout: `${pilotCar}: fits, layout pilot-car\n`, stderr: "" });
    const failed = await runCommand(["layouts", "check", bad, pilotCar, text]);
    expect(failed).toMatchObject({ status: 1, stdout: good.stdout });
    expect(failed.stderr.split("\n")).toEqual([
      `${bad}: modulation: found "psk", allowed "ask", "fsk"`,
      `${bad}: bits: found 5000, allowed at most 4096`,
      `${text}: byte 0: found "b", allowed a JSON value`,
      "",
    ]);
    const gone = await runCommand(["layouts", "check", bad, "gone.json"]);
    expect(gone.status).toBe(2);
    expect(gone.stderr).toContain("gone.json: file: found no such file");
  });
});

describe("synthesise", () => {
  it("makes the bytes of a sample from its scenario", async () => {
    const out = join(folder, "again");
    const ran = await runCommand(["synthesise", join(top, "seeds/sound-car.json"), "-o", out]);
    expect(ran).toMatchObject({ status: 0, stderr: "" });
    const made = ran.stdout.trimEnd().split("\n");
    expect(made).toContain(`${out}.sigmf-data`);
    for (const path of made)
      expect(readFileSync(path).equals(readFileSync(sample(`sound-car${path.slice(out.length)}`)))).toBe(true);
  });

  it("refuses a scenario by its key, or by its byte", async () => {
    const scenario = join(folder, "scenario.json");
    writeFileSync(scenario, '{"title": "x", }');
    const broken = await runCommand(["synthesise", scenario, "-o", join(folder, "no")]);
    expect(broken).toMatchObject({ status: 2, stdout: "" });
    expect(broken.stderr).toMatch(/scenario\.json: byte 15: found "}"[^\n]*\n$/);
    writeFileSync(scenario, '{"title": 5}');
    const wrong = await runCommand(["synthesise", scenario, "-o", join(folder, "no")]);
    expect(wrong.status).toBe(2);
    expect(wrong.stderr).toMatch(/scenario\.json: title: found 5, allowed text[^\n]*\n$/);
    const nowhere = await runCommand([
      "synthesise",
      join(top, "seeds/sound-car.json"),
      "-o",
      join(folder, "no/such/folder"),
    ]);
    expect(nowhere.status).toBe(1);
    expect(nowhere.stderr).toMatch(/^[^\n]*folder: file: found no such file[^\n]*\n$/);
  });
});

describe("an interrupted analysis", () => {
  it("tells what was heard so far, and that it is not all", async () => {
    let stop = () => {};
    const interrupted = new Promise<void>((resolve) => {
      stop = resolve;
    });
    const stdin = readFileSync(sample("sound-car.sigmf-data"));
    const ran = await runCommand(["analyse", "-", ...rawOptions()], { stdin, interrupted, atEnd: () => stop() });
    expect(ran).toMatchObject({ status: 130, stderr: "" });
    expect(ran.stdout).toMatch(/^Stopped before the end; [a-z]+ sensors? heard: /);
  });

  it("has told of the one telegram that a stream brought before it fell silent", async () => {
    let stop = () => {};
    const interrupted = new Promise<void>((resolve) => {
      stop = resolve;
    });
    const data = readFileSync(sample("sound-car.sigmf-data"));
    const meta = JSON.parse(readFileSync(sample("sound-car.sigmf-meta"), "utf8"));
    const until = (seconds: number) => data.subarray(0, 2 * Math.floor(seconds * meta.global["core:sample_rate"]));
    expect(meta.global["core:datatype"]).toBe("cu8");
    // The first wheel with all its copies, and then the noise from before it.
    const stdin = Buffer.concat([until(0.62), ...Array.from({ length: 8 }, () => until(0.18))]);
    const ran = await runCommand(["analyse", "-", "--json", ...rawOptions()], {
      stdin,
      interrupted,
      atEnd: () => setTimeout(stop, 300),
    });
    expect(ran.status).toBe(130);
    expect(ran.stdout).toMatch(/"kind":"telegram".*"value":"3a51c0de"/);
  });
});

// What only a process of its own can show.
describe("the process", () => {
  it("ends quietly when the reader goes away", async () => {
    const child = start(["analyse", "--json", sample("crowded-yard.sigmf-meta"), sample("sound-car.sigmf-meta")]);
    await once(child.stdout!, "data");
    child.stdout!.destroy();
    expect(await ended(child)).toEqual({ status: 0, stderr: "" });
  });

  it("stops at once on Ctrl-C with what it had heard, and ends with 130", async () => {
    const child = start(["analyse", "--json", "-", ...rawOptions()]);
    child.stdin!.on("error", () => undefined);
    child.stdin!.write(readFileSync(sample("sound-car.sigmf-data"))); // and no end: the receiver goes on listening
    await new Promise<void>((resolve) => {
      let stdout = "";
      child.stdout!.on("data", (chunk: Buffer) => {
        stdout += chunk.toString();
        if (stdout.includes('"kind":"telegram"')) resolve();
      });
    });
    child.kill("SIGINT");
    const stopped = performance.now();
    expect(await ended(child)).toEqual({ status: 130, stderr: "" });
    expect(performance.now() - stopped).toBeLessThan(5000);
  });

  it("writes no escape bytes, with NO_COLOR or without a terminal", async () => {
    for (const env of [{ NO_COLOR: "1" }, {}]) {
      const child = start(["analyse", sample("sound-car.ndjson"), "gone.wav"], env);
      let stdout = "";
      child.stdout!.on("data", (chunk: Buffer) => {
        stdout += chunk.toString();
      });
      const { status, stderr } = await ended(child);
      expect(status).toBe(2);
      expect(stdout + stderr).not.toContain("\u001b");
      expect(stdout).toContain("heard");
    }
  });
});

/** What the sample's metadata say, for the same samples through a pipe. */
function rawOptions(): string[] {
  const meta = JSON.parse(readFileSync(sample("sound-car.sigmf-meta"), "utf8"));
  const { "core:datatype": type, "core:sample_rate": rate } = meta.global;
  return ["--type", type, "--rate", String(rate), "--carrier", String(meta.captures[0]["core:frequency"])];
}

function start(args: readonly string[], env: Record<string, string> = {}): ChildProcess {
  return spawn(process.execPath, ["--import", "tsx", join(top, "server/cli/main.ts"), ...args], {
    cwd: top,
    env: { PATH: process.env["PATH"], HOME: folder, ...env },
  });
}

async function ended(child: ChildProcess): Promise<{ status: number | null; stderr: string }> {
  let stderr = "";
  child.stderr!.on("data", (chunk: Buffer) => {
    stderr += chunk.toString();
  });
  await once(child, "close");
  return { status: child.exitCode, stderr };
}
