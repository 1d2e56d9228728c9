import { FAULTS } from "../../seeds/cars/story.ts";
import { type Diagnosis, diagnose } from "../support/cars/diagnose.ts";

const DRAWS = 200;

/**
 * Cars with a hidden fault, every fault in turn, through modulator and decoders to the ranking; each answers the steps
 * that are offered as its fault makes it. One JSON line a car on standard output, the summary on standard error.
 */
export default async function diagnosisBench(options: {
  readonly seed: number;
  readonly draws?: number;
}): Promise<void> {
  const draws = options.draws ?? DRAWS;
  const all: Diagnosis[] = [];
  for (let n = 0; n < draws; n++) {
    const one = await diagnose(FAULTS[n % FAULTS.length]!, 100_000 * options.seed + n);
    all.push(one);
    const { seed, trueCause, last, steps, minutes } = one;
    const ranking = last.map(({ cause, probability }) => ({ cause: cause.id, probability }));
    console.log(JSON.stringify({ seed, trueCause, ranking, steps, minutes }));
  }
  for (const text of summaryOf(all)) console.error(text);
}

function summaryOf(all: readonly Diagnosis[]): string[] {
  const place = (ranking: Diagnosis["last"], fault: string) => ranking.findIndex(({ cause }) => cause.id === fault);
  const share = (is: (one: Diagnosis) => boolean, of: readonly Diagnosis[] = all) =>
    `${((100 * of.filter(is).length) / of.length).toFixed(1)} %`;
  const mean = (of: (one: Diagnosis) => number) => (all.reduce((sum, one) => sum + of(one), 0) / all.length).toFixed(1);
  const brier = (of: (one: Diagnosis) => Diagnosis["last"]) =>
    (
      all.reduce(
        (sum, one) =>
          sum +
          of(one).reduce(
            (s, { cause, probability }) => s + (probability - (cause.id === one.trueCause ? 1 : 0)) ** 2,
            0,
          ),
        0,
      ) / all.length
    ).toFixed(3);
  return [
    `${all.length} cars, ${FAULTS.length} faults in turn`,
    `before any step: first ${share((one) => place(one.first, one.trueCause) === 0)}, among the first three ${share((one) => place(one.first, one.trueCause) < 3)} (goal 90 %)`,
    `after at most three steps: first ${share((one) => place(one.last, one.trueCause) === 0)} (goal 90 %), among the first two ${share((one) => place(one.last, one.trueCause) < 2)} (goal 98 %)`,
    `Brier score before ${brier(({ first }) => first)}, after ${brier(({ last }) => last)} (0 is best, 2 worst)`,
    `minutes for these steps: ${mean(({ minutes }) => minutes)} a car`,
    `minutes until the true cause is first with 80 %: ${mean(({ untilTrue }) => untilTrue.offered)} as offered, ${mean(({ untilTrue }) => untilTrue.fixed)} in a fixed order`,
    `called a flat cell with 80 % where our receiver was deaf: ${all.filter((one) => one.trueCause === "deaf" && one.last[0]?.cause.id === "cell-flat" && one.last[0].probability >= 0.8).length}`,
    "reliability of the first place after the steps: said, was right",
    ...reliability(all),
    "recall by fault: first, among the first two, before any step among the first three; what it was taken for",
    ...FAULTS.map((fault) => {
      const own = all.filter((one) => one.trueCause === fault);
      if (own.length === 0) return `  ${fault}: not drawn`;
      const taken = own.filter((one) => place(one.last, fault) > 0).map(({ last }) => last[0]?.cause.id);
      return `  ${fault.padEnd(18)} ${share((one) => place(one.last, fault) === 0, own).padStart(8)} ${share((one) => place(one.last, fault) < 2, own).padStart(8)} ${share((one) => place(one.first, fault) < 3, own).padStart(8)}  ${taken.join(", ")}`;
    }),
  ];
}

function reliability(all: readonly Diagnosis[]): string[] {
  const edges = [0, 0.3, 0.5, 0.7, 0.85, 0.95, 1.0001];
  return edges.slice(1).map((to, i) => {
    const from = edges[i]!;
    const inside = all.filter(({ last }) => (last[0]?.probability ?? 0) >= from && (last[0]?.probability ?? 0) < to);
    if (inside.length === 0) return `  ${from.toFixed(2)} to ${Math.min(1, to).toFixed(2)}: none`;
    const said = inside.reduce((sum, { last }) => sum + (last[0]?.probability ?? 0), 0) / inside.length;
    const right = inside.filter(({ last, trueCause }) => last[0]?.cause.id === trueCause).length / inside.length;
    return `  ${from.toFixed(2)} to ${Math.min(1, to).toFixed(2)}: said ${said.toFixed(2)}, was right ${right.toFixed(2)}, ${inside.length} cars`;
  });
}
