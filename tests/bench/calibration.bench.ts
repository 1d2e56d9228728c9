import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { claimsOf, countWrong, type Decade, type Reliability, reliabilityOf } from "../support/calibration.ts";

const LEVELS_DB = [4, 5, 6, 7, 8, 9, 10];
/** How strong soft values are, so that about every second to fifth frame fails. */
const SIGNALS = [0.8, 1.2, 1.7, 2.3, 3];

/**
 * Whether what is claimed is true. First the confidence of both detectors at the level where about 5 % of the decisions
 * are wrong; then the false-accept probability of frames, repaired ones among them, against how many were wrong, by
 * decade, one copy and two.
 *
 * @param options.draws Telegrams a level; 60 by default, and 50 times as many frames.
 */
export default async function calibration({ seed, draws = 60 }: { seed: number; draws: number | undefined }) {
  console.log("confidences where 5 % are wrong: wanted slope 0.9 to 1.1, expected error below 0.02");
  for (const layout of builtinLayouts) {
    const tried = LEVELS_DB.map((db) => ({ db, claims: claimsOf(layout, db, draws, seed) }));
    for (const kind of ["plain", "tracked"] as const) {
      const measured = tried
        .filter(({ claims }) => claims[kind].length > 500)
        .map(({ db, claims }) => ({ db, of: reliabilityOf(claims[kind]) }));
      const best = measured.sort((a, b) => Math.abs(a.of.wrongShare - 0.05) - Math.abs(b.of.wrongShare - 0.05))[0];
      if (best) console.log(line(`${layout.id}, ${kind}`, best.db, best.of));
    }
  }
  console.log("\nwrong among accepted frames, by claimed probability: expected/counted (accepted)");
  const sums = new Map<number, { accepted: number; expected: number; wrong: number }>();
  for (const layout of builtinLayouts) {
    for (const copies of [1, 2]) {
      const all = SIGNALS.map((signal, i) => countWrong(layout, signal / copies, 10 * draws, copies, seed + i));
      const cells = all[0]!.map((_, d) => added(all.map((decades) => decades[d]!)));
      for (const cell of cells)
        sums.set(
          cell.from,
          added(
            [cell, sums.get(cell.from) ?? { ...cell, accepted: 0, expected: 0, wrong: 0 }].map((one) => ({
              ...one,
              from: cell.from,
            })),
          ),
        );
      console.log(
        `${`${layout.id}, ${copies} cop${copies > 1 ? "ies" : "y"}`.padEnd(28)} ${cells.map(cellText).join("  ")}`,
      );
    }
  }
  console.log(`${"all".padEnd(28)} ${[...sums].map(([from, one]) => cellText({ from, ...one })).join("  ")}`);
}

function line(name: string, db: number, { decisions, wrongShare, slope, expectedError, bins }: Reliability): string {
  const diagram = bins.map(({ claimed, right }) => `${claimed.toFixed(2)}/${right.toFixed(2)}`).join(" ");
  const figures = `${(100 * wrongShare).toFixed(1)} % of ${decisions} wrong, slope ${slope.toFixed(2)}, error ${expectedError.toFixed(3)}`;
  return `${name.padEnd(28)} ${db} dB: ${figures}; claimed/right ${diagram}`;
}

function added(cells: readonly Decade[]): Decade {
  return cells.reduce((sum, one) => ({
    from: sum.from,
    accepted: sum.accepted + one.accepted,
    expected: sum.expected + one.expected,
    wrong: sum.wrong + one.wrong,
  }));
}

function cellText({ from, accepted, expected, wrong }: Decade): string {
  return `over ${from}: ${expected.toFixed(1)}/${wrong} (${accepted})`;
}
