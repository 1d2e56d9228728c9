import { execFileSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { analyse } from "../../decoders/analyse.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import type { SampleSource } from "../../decoders/sources.ts";
import { compileAsStranger, packInto, readmeExamples, strangersProject, top } from "../support/decoders-package.ts";
import { temporaryFolder } from "../support/folder.ts";
import { importLines } from "../support/import-lines.ts";
import { sample } from "../support/samples.ts";

// What `npm run build` leaves behind, as others would use it.
const manifest = JSON.parse(readFileSync(join(top, "decoders", "package.json"), "utf8"));
const entries: { types: string; default: string }[] = Object.values(manifest.exports);

beforeAll(() => {
  const built = ["dist/wheelgram.js", "decoders/dist/analyse.js"].every((file) => existsSync(join(top, file)));
  if (!built) throw new Error("run `npm run build` first; `npm test` does so itself");
});

describe("the built command", () => {
  it("says that Node is to run it, and runs", () => {
    const command = join(top, "dist", "wheelgram.js");
    expect(readFileSync(command, "utf8").split("\n")[0]).toBe("#!/usr/bin/env node");
    const help = execFileSync(process.execPath, [command, "--help"], { encoding: "utf8" });
    expect(help).toContain("analyse");
  });

  it("is found by npx through package.json and may be executed", () => {
    const { bin } = JSON.parse(readFileSync(join(top, "package.json"), "utf8"));
    expect(bin).toEqual({ wheelgram: "dist/wheelgram.js" });
    if (process.platform === "win32") return; // npx does not look at the mode there
    expect(execFileSync(join(top, bin.wheelgram), ["--help"], { encoding: "utf8" })).toContain("analyse");
  });
});

describe("the built package of the decoders", () => {
  it("says its types first, then the one file that Node and browser take", () => {
    expect(entries.length).toBeGreaterThan(2);
    for (const entry of entries) {
      expect(Object.keys(entry)).toEqual(["types", "default"]);
      expect(existsSync(join(top, "decoders", entry.types)), entry.types).toBe(true);
      expect(existsSync(join(top, "decoders", entry.default)), entry.default).toBe(true);
    }
  });

  it("runs no scripts at an install, has no side effects and names the Node that it needs", () => {
    expect(manifest.scripts).toBeUndefined();
    expect(manifest.sideEffects).toBe(false);
    expect(manifest.engines).toEqual(JSON.parse(readFileSync(join(top, "package.json"), "utf8")).engines);
  });

  it("has the licence of the whole", () => {
    expect(readFileSync(join(top, "decoders", "LICENSE"), "utf8")).toBe(readFileSync(join(top, "LICENSE"), "utf8"));
  });

  it("gives the same layouts by its name as the sources do", () => {
    const script = `
      const { analyse } = await import("@wheelgram/decoders");
      const { builtinLayouts } = await import("@wheelgram/decoders/layouts");
      const { parseLayout } = await import("@wheelgram/decoders/validate");
      console.log(JSON.stringify([typeof analyse, builtinLayouts, parseLayout({}).ok]));`;
    const args = ["--input-type=module", "-e", script];
    const said = execFileSync(process.execPath, args, { cwd: top, encoding: "utf8" });
    expect(JSON.parse(said)).toEqual(["function", builtinLayouts, false]);
  });

  it("needs nothing but zod", () => {
    const packages = new Set(entries.flatMap((entry) => packagesOf(join(top, "decoders", entry.default))));
    expect([...packages]).toEqual(["zod"]);
    expect(Object.keys(manifest.dependencies)).toEqual(["zod"]);
  });

  it("packs exactly what was looked through", () => {
    expect(packInto(join(top, "decoders"), temporaryFolder("packed")).paths).toEqual(PACKED);
  });
});

// Whoever changes this list has looked at what is new in it: no sources, no tests, nothing that no entry leads to.
const PACKED = [
  "LICENSE",
  "README.md",
  "dist/analyse.d.ts",
  "dist/analyse.js",
  "dist/checks/columns.d.ts",
  "dist/frames/burstReading.d.ts",
  "dist/frames/combine.d.ts",
  "dist/frames/frameChecks.d.ts",
  "dist/frames/likeliest.d.ts",
  "dist/frames/readFrame.d.ts",
  "dist/layouts.js",
  "dist/layouts/builtin.d.ts",
  "dist/layouts/complaint.d.ts",
  "dist/layouts/schema.d.ts",
  "dist/layouts/validate.d.ts",
  "dist/linecode/lineCode.d.ts",
  "dist/records.d.ts",
  "dist/records.js",
  "dist/shared/validate.js",
  "dist/signal/captures.d.ts",
  "dist/signal/channeliser.d.ts",
  "dist/signal/ear.d.ts",
  "dist/signal/heardBurst.d.ts",
  "dist/signal/kernels/kernels.d.ts",
  "dist/sources.d.ts",
  "dist/sources.js",
  "dist/validate.js",
  "package.json",
];

describe("the packed decoders in a stranger's project", () => {
  const folder = temporaryFolder("stranger");

  it("are installed without a network and bring nothing but zod", () => {
    strangersProject(folder);
    const installed = readdirSync(join(folder, "node_modules")).filter((name) => !name.startsWith("."));
    expect(installed).toEqual(["@wheelgram", "zod"]);
  });

  it("have their README's examples in files of their own", () => {
    expect([...readmeExamples().keys()]).toEqual(["telegramsIn.ts", "node.ts", "page.ts"]);
  });

  it.each(["nodenext", "bundler"] as const)("have types for every entry that a strict compiler finds (%s)", (how) => {
    const names = Object.keys(manifest.exports).map((path) => path.replace(".", manifest.name));
    const lines = names.map(
      (name, n) => `import * as entry${n} from "${name}";\nexport type T${n} = typeof entry${n};`,
    );
    writeFileSync(join(folder, "entries.ts"), `${lines.join("\n")}\n`);
    const files = ["entries.ts", how === "nodenext" ? "node.ts" : "page.ts"];
    expect(readdirSync(compileAsStranger(folder, files, how))).toContain("telegramsIn.js");
  });

  it("would be told of a type that is not there", () => {
    writeFileSync(join(folder, "wrong.ts"), 'import { analyse } from "@wheelgram/decoders";\nanalyse(1, 2, 3, 4);\n');
    expect(() => compileAsStranger(folder, ["wrong.ts"], "nodenext")).toThrow("Expected 2-3 arguments");
  });

  it("find in Node, by the README's example, what the sources find", async () => {
    const told = execFileSync(process.execPath, [join(folder, "nodenext", "node.js")], {
      cwd: folder,
      encoding: "utf8",
    });
    const own: TelegramRecord[] = [];
    for await (const record of analyse(soundCar(), builtinLayouts)) {
      if (record.kind === "telegram" && record.verified) own.push(record);
    }
    expect(own.length).toBeGreaterThan(3);
    expect(JSON.parse(told)).toEqual(own);
  });
});

function soundCar(): SampleSource {
  return {
    kind: "samples",
    file: "bay",
    sampleType: "cu8",
    sampleRateHz: 250_000,
    captures: [{ sampleStart: 0, carrierHz: 433_920_000 }],
    blocks: [sample("sound-car").data],
  };
}

/** The packages that a built file and the files beside it import. */
function packagesOf(file: string): string[] {
  return importLines(file, readFileSync(file, "utf8")).flatMap(({ target = "a computed name" }) =>
    target.startsWith(".") ? packagesOf(join(file, "..", target)) : [target],
  );
}
