import { enoughDigits, type Figure } from "./figure.ts";
import type { Measured } from "./radio.ts";
import type { WorkedSpecimen } from "./workOut.ts";

/** A figure of a specimen beside that of the golden one. */
export interface Beside {
  readonly of: string;
  readonly unit: Figure["unit"];
  readonly here: number | null;
  readonly golden: number | null;
  /** By more than both uncertainties together. */
  readonly differs: boolean;
  readonly says: string;
}

/** Every figure that both have, the same way round: this specimen, then the golden one. */
export function besideGolden(
  here: WorkedSpecimen,
  golden: WorkedSpecimen,
  setPointWords: readonly string[],
): readonly Beside[] {
  const cells = setPointWords.map((words, i) => row(`Error at ${words}`, "kPa", cellOf(here, i), cellOf(golden, i)));
  const [a, b] = [here.radio, golden.radio];
  return [
    ...cells,
    row("Carrier, where it is farthest off", "Hz", of(a.farthestCarrier), of(b.farthestCarrier)),
    row("Carrier's way over the test", "Hz", walkOf(a.walk), walkOf(b.walk)),
    row("Deviation", "Hz", of(a.deviation), of(b.deviation)),
    row("Symbol rate", "symbols/s", of(a.symbolRate), of(b.symbolRate)),
    row("Level", "dB", of(a.level), of(b.level)),
    row("Wake to first telegram", "s", of(a.wake), of(b.wake)),
  ];
}

interface Value {
  readonly value: number;
  readonly expanded: number;
}

function cellOf({ pressure }: WorkedSpecimen, setPoint: number): Value | null {
  const cell = pressure.cells[setPoint];
  return cell?.errorKpa == null ? null : { value: cell.errorKpa, expanded: cell.budget?.expanded ?? 0 };
}

function of(measured: Measured | null): Value | null {
  return measured && { value: measured.value, expanded: measured.budget.expanded };
}

function walkOf(walk: WorkedSpecimen["radio"]["walk"]): Value | null {
  return walk && { value: walk.hz, expanded: walk.expandedHz };
}

function row(name: string, unit: Figure["unit"], here: Value | null, golden: Value | null): Beside {
  const base = { of: name, unit, here: here?.value ?? null, golden: golden?.value ?? null };
  if (!here || !golden) return { ...base, differs: false, says: "Not known of both." };
  const apart = here.value - golden.value;
  const together = Math.hypot(here.expanded, golden.expanded);
  const differs = Math.abs(apart) > together;
  const [difference, allowed] = enoughDigits([apart, together], unit);
  const says = differs
    ? `Apart by ${difference} ${unit}, more than both uncertainties together (${allowed} ${unit}).`
    : `Apart by ${difference} ${unit}, within both uncertainties together (${allowed} ${unit}).`;
  return { ...base, differs, says };
}
