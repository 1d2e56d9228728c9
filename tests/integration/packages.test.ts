import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { beforeAll, describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { importLines } from "../support/import-lines.ts";

// What `npm run build` leaves behind, as others would use it.
const top = fileURLToPath(new URL("../..", import.meta.url));
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
  it("has a file and its types for every entry, and packs no sources", () => {
    expect(entries.length).toBeGreaterThan(2);
    for (const entry of entries) {
      expect(existsSync(join(top, "decoders", entry.types)), entry.types).toBe(true);
      expect(existsSync(join(top, "decoders", entry.default)), entry.default).toBe(true);
    }
    expect(manifest.files).toEqual(["dist"]);
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
});

/** The packages that a built file and the files beside it import. */
function packagesOf(file: string): string[] {
  return importLines(file, readFileSync(file, "utf8")).flatMap(({ target = "a computed name" }) =>
    target.startsWith(".") ? packagesOf(join(file, "..", target)) : [target],
  );
}
