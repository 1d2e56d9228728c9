import { execFileSync, spawnSync } from "node:child_process";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const source = fileURLToPath(new URL("spectrogram.c", import.meta.url));

/** Builds the program beside this file, or says why it cannot be: it needs gcc and Debian's libliquid-dev. */
export function buildSpectrogram(folder: string): { readonly program: string } | { readonly why: string } {
  const program = join(folder, "spectrogram");
  const flags = ["-O3", "-march=native", "-ffast-math", source, "-o", program, "-lliquid", "-lm"];
  const { status, error, stderr } = spawnSync("gcc", flags, { encoding: "utf8" });
  if (status === 0) return { program };
  return { why: error ? "gcc is not there" : (stderr.split("\n").find((line) => line.includes("error")) ?? stderr) };
}

/** Processor seconds that the program takes over a file of cu8 samples. */
export function spectrogramSeconds(program: string, path: string): number {
  const [seconds] = execFileSync(program, [path], { encoding: "utf8" }).split(" ").map(Number);
  if (seconds === undefined || !(seconds > 0)) throw new Error("the spectrogram said no time");
  return seconds;
}
