import { listed } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import { withNumbers } from "./alike.ts";
import { type Block, paragraph, type Section } from "./document.ts";
import { ended, numbersInWords } from "./shown.ts";

/** The lot as a whole: its middle, its spread, and which are odd by which test. */
export function lotViewSection({ lotView, rows }: LotBody): Section {
  const { odd, tolerance, says } = lotView;
  const all = [...says, ...(tolerance === null ? [] : [tolerance.says])].map(ended);
  const blocks: readonly Block[] = [
    paragraph(all.join(" ")),
    ...withNumbers(odd.map(({ number, says: why }) => ({ number, says: why }))).map((one) =>
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
