import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { heard } from "../support/sensitivity.ts";

const LEVELS_DB = [6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18];

/**
 * How many telegrams come through at which Eb/N0, everything included: found in 0.1 s of noise, off by up to ±8 kHz and
 * ±300 ppm, all layouts on, one copy, no repair. Beside it stands (1 − ½·exp(−g/2))^n, the success of n bits of binary
 * noncoherent detection at g = Eb/N0 (from memory: Proakis, Digital Communications); a level told by an on or off, or a
 * code with more symbols a bit, has a theory of its own.
 */
export default async function sensitivity({ seed, draws }: { seed: number; draws: number | undefined }): Promise<void> {
  const telegrams = draws ?? 40;
  console.log(`read right / verified / verified though wrong, of ${telegrams}, seed ${seed}`);
  console.log(["layout", "", ...LEVELS_DB.map((db) => `${db} dB`)].map((cell) => cell.padEnd(11)).join(""));
  for (const layout of builtinLayouts) {
    const cells: string[] = [];
    const theory: string[] = [];
    for (const ebN0Db of LEVELS_DB) {
      const { right, verified, wrong } = await heard(layout, { ebN0Db, telegrams, seed });
      cells.push(`${right}/${verified}/${wrong}`);
      const bitError = 0.5 * Math.exp(-(10 ** (ebN0Db / 10)) / 2);
      theory.push((telegrams * (1 - bitError) ** layout.bits).toFixed(1));
    }
    console.log([layout.id.padEnd(22), ...cells.map((cell) => cell.padEnd(11))].join(""));
    console.log(["  theory".padEnd(22), ...theory.map((cell) => cell.padEnd(11))].join(""));
  }
}
