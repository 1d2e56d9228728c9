import { listed } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { withNumbers } from "./alike.ts";
import { type Block, paragraph, type Section } from "./document.ts";
import { counted, ended, numbersInWords, percent, shown, withUnit } from "./shown.ts";

/** The lot as a whole: its middle, its spread, and which are odd by which test. */
export function lotViewSection({ lotView, rows }: LotBody): Section {
  const { count, medianKpa, spreadKpa, odd, tolerance, says } = lotView;
  const middle =
    medianKpa === null
      ? "The lot has no middle yet: too few specimens have a mean error."
      : `Middle error ${withUnit(shown(medianKpa, 2), "kPa")}, the median of ${counted(count, "specimen")}${spreadKpa === null ? "" : `; spread ${withUnit(shown(spreadKpa, 2), "kPa")}, from the median absolute deviation times 1.4826`}.`;
  const range =
    tolerance === null
      ? []
      : [
          `Tolerance interval ${withUnit(shown(tolerance.fromKpa, 2), "kPa")} to ${withUnit(shown(tolerance.toKpa, 2), "kPa")}: it holds ${percent(tolerance.share)} of the lot's mean errors with a confidence of ${percent(tolerance.confidence)}.`,
          ended(tolerance.says),
        ];
  const blocks: readonly Block[] = [
    paragraph([middle, ...range, ...says.map(ended)].join(" ")),
    ...(odd.length === 0 && count > 0 ? [paragraph("No specimen stands out from the others by its mean error.")] : []),
    ...withNumbers(odd.map(({ number, by, says: why }) => ({ number, says: `by ${by}: ${why}` }))).map((one) =>
      paragraph(ended(one.says), `▲ Odd, ${numbersInWords(one.numbers)},`),
    ),
    ...flags(rows),
  ];
  return { heading: "Lot as a whole", across: false, whole: false, blocks };
}

/** What else is odd about specimens, the same words once. */
function flags(rows: LotBody["rows"]): readonly Block[] {
  const all = rows.flatMap(({ number, flags: own }) => own.map(({ kind, says }) => ({ number, kind, says })));
  const kinds = [...new Set(all.map(({ kind }) => kind))];
  return kinds.map((kind) => {
    const those = withNumbers(all.filter((one) => one.kind === kind));
    const lead = `▲ ${kind.slice(0, 1).toUpperCase()}${kind.slice(1)}, ${numbersInWords([...new Set(those.flatMap(({ numbers }) => numbers))])}:`;
    if (those.length === 1) return paragraph(ended(those[0]?.says ?? ""), lead);
    return paragraph(
      those.map(({ numbers, says }) => `${listed(numbers.map(String))}: ${ended(says)}`).join(" "),
      lead,
    );
  });
}
