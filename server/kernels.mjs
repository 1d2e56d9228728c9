import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import asc from "assemblyscript/asc";
import { root } from "./install.mjs";

const folder = join(root, "decoders", "signal", "kernels");
const target = join(folder, "compiled.ts");
const names = ["integer64", "float", "statistics", "extremes"];

/**
 * Compiles decoders/signal/kernels/assembly and writes the bytes into compiled.ts beside it, if they are new.
 *
 * @throws Error with what the compiler said.
 */
export async function compileKernels() {
  const text = await compiledKernels();
  if (readFileSync(target, "utf8") !== text) writeFileSync(target, text);
}

/** What compiled.ts has to hold. */
export async function compiledKernels() {
  let bytes;
  const sources = names.map((name) => `${name}.ts`);
  const flags = ["-O3", "--noAssert", "--uncheckedBehavior", "always", "--runtime", "stub", "--enable", "simd"];
  const { error, stderr } = await asc.main(
    [...sources, ...flags, "--initialMemory", "1", "--outFile", "kernels.wasm"],
    {
      readFile: (name) => (sources.includes(name) ? readFileSync(join(folder, "assembly", name), "utf8") : null),
      writeFile: (_name, contents) => {
        bytes = contents;
      },
      listFiles: () => [],
    },
  );
  if (error || !bytes) throw new Error(`assembly: ${stderr.toString() || error}`);
  const lines = Buffer.from(bytes)
    .toString("base64")
    .match(/.{1,110}/g);
  return [
    "// Made by server/kernels.mjs from assembly/; never edited by hand.",
    "",
    "/** The kernels as a WebAssembly module, base64. */",
    "export const COMPILED =",
    `${lines.map((line) => `  "${line}"`).join(" +\n")};`,
    "",
  ].join("\n");
}
