import type { LevelReference } from "./figures.ts";
import type { Lot } from "./lot.ts";
import type { RadioFigures } from "./radio.ts";
import { robustView } from "./statistics/robust.ts";
import type { LotHeard, WorkedSpecimen } from "./workOut.ts";

/** The golden specimen where one is named, else the middle of those that count, told on the scale that most have. */
export function levelReference(
  lot: Lot,
  all: readonly Pick<WorkedSpecimen, "registered" | "radio">[],
  { lotId, golden }: Pick<LotHeard, "lotId" | "golden">,
): LevelReference | null {
  if (lot.golden !== null) {
    const here = all.find(({ registered }) => registered.number === lot.golden?.number)?.radio;
    const radio = lot.golden.lot === lotId ? here : golden;
    if (!radio?.level) return null;
    const { value, budget } = radio.level;
    const { standard, freedom } = budget;
    const part = {
      of: "the golden specimen",
      says: "its own level",
      evaluation: "A",
      distribution: "student",
    } as const;
    return { value, is: radio.levelIs, parts: [{ ...part, standard, freedom }], says: "the golden specimen" };
  }
  const counting = all.filter(({ registered, radio }) => registered.leftOut === "" && radio.level);
  const is = levelScale(counting.map(({ radio }) => radio));
  const alike = counting.filter(({ radio }) => radio.levelIs === is);
  const levels = alike.flatMap(({ radio }) => radio.level?.value ?? []);
  if (levels.length < 2) return null;
  const { median: value, scaledMad } = robustView(levels);
  const part = {
    of: "the lot's middle",
    says: `of ${levels.length} specimens`,
    evaluation: "A",
    distribution: "student",
  } as const;
  // The median of normal values scatters by a quarter more than their mean.
  const standard = (1.2533 * scaledMad) / Math.sqrt(levels.length);
  return { value, is, parts: [{ ...part, standard, freedom: levels.length - 1 }], says: "the lot's middle" };
}

/** The scale on which levels are held against each other: from samples where there are any. */
export function levelScale(all: readonly Pick<RadioFigures, "levelIs">[]): RadioFigures["levelIs"] {
  if (all.some(({ levelIs }) => levelIs === "dBFS")) return "dBFS";
  return all.some(({ levelIs }) => levelIs !== null) ? "over the noise" : null;
}
