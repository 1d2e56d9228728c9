import { mean } from "simple-statistics";
import { enoughDigits, type Figure } from "./figure.ts";
import type { Lot } from "./lot.ts";
import type { Measured } from "./radio.ts";
import { bound, combine, repeats } from "./statistics/budget.ts";
import { pooled } from "./statistics/scatter.ts";
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

/** A specimen and the lot that it was tested in. */
export interface SpecimenOf {
  readonly lotId: string;
  readonly lot: Pick<Lot, "setPoints" | "gauge" | "fixture">;
  readonly specimen: WorkedSpecimen;
}

/**
 * Every figure that both have, the same way round: this specimen, then the golden one. Set points are the same where
 * pressure and way are, whatever their place in each lot. What one gauge errs, it errs for both, so it is left out of the
 * uncertainty there.
 */
export function besideGolden(here: SpecimenOf, golden: SpecimenOf): readonly Beside[] {
  const common = commonParts(here, golden);
  const cells = here.lot.setPoints.map(({ kpa, way }, i) => {
    const nth = here.lot.setPoints.slice(0, i).filter((one) => one.kpa === kpa && one.way === way).length;
    const there = golden.lot.setPoints.flatMap((one, j) => (one.kpa === kpa && one.way === way ? [j] : []))[nth];
    const other = there === undefined ? null : cellOf(golden, there, common);
    return row(`Error at ${kpa} kPa, ${way}`, "kPa", cellOf(here, i, common), other);
  });
  const [a, b] = [here.specimen.radio, golden.specimen.radio];
  return [
    ...cells,
    row("Carrier", "Hz", carrierOf(here), carrierOf(golden)),
    row("Carrier's way over the test", "Hz", walkOf(a.walk), walkOf(b.walk)),
    row("Deviation", "Hz", of(a.deviation), of(b.deviation)),
    row("Symbol rate", "symbols/s", of(a.symbolRate), of(b.symbolRate)),
    row("Level", "dB", of(a.level), of(b.level)),
    row("Wake to first telegram", "s", of(a.wake), of(b.wake)),
  ];
}

/** Parts of a cell's budget that are the same on both sides. */
function commonParts(here: SpecimenOf, golden: SpecimenOf): readonly string[] {
  // Of one lot the fills are the same too, and each was read once.
  if (here.lotId === golden.lotId) return ["gauge", "reading the gauge"];
  const [a, b] = [here.lot.gauge.name.trim(), golden.lot.gauge.name.trim()];
  return a !== "" && a === b ? ["gauge"] : [];
}

interface Value {
  readonly value: number;
  /** `null`: nobody said how good the gauge is. */
  readonly expanded: number | null;
}

function cellOf({ specimen }: SpecimenOf, setPoint: number, common: readonly string[]): Value | null {
  const cell = specimen.pressure.cells[setPoint];
  if (cell?.errorKpa == null) return null;
  if (!cell.budget) return { value: cell.errorKpa, expanded: null };
  const own = cell.budget.parts.filter((part) => !common.includes(part.of));
  return { value: cell.errorKpa, expanded: combine(own).expanded };
}

/** As it is, since each lot may hold it against another nominal one. */
function carrierOf({ lot, specimen }: SpecimenOf): Value | null {
  const carriers = specimen.said.map(({ carrierHz }) => carrierHz);
  if (carriers.length === 0) return null;
  const value = mean(carriers);
  const scatter = pooled([carriers]);
  const parts = [bound("the receiver's reference", value * (lot.fixture.carrierErrorPpm ?? 0) * 1e-6)];
  if (scatter) parts.push(repeats(scatter, carriers.length));
  return { value, expanded: combine(parts).expanded };
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
  if (here.expanded === null || golden.expanded === null) {
    const [difference] = enoughDigits([apart], unit);
    return { ...base, differs: false, says: `Apart by ${difference} ${unit}; nobody entered how good the gauge is.` };
  }
  const together = Math.hypot(here.expanded, golden.expanded);
  const differs = Math.abs(apart) > together;
  const [difference, allowed] = enoughDigits([apart, together], unit);
  const says = differs
    ? `Apart by ${difference} ${unit}, more than both uncertainties together (${allowed} ${unit}).`
    : `Apart by ${difference} ${unit}, within both uncertainties together (${allowed} ${unit}).`;
  return { ...base, differs, says };
}
