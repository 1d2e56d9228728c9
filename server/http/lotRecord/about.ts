import { dayOf, minuteOf } from "../sheet/units.ts";
import type { LotBody } from "../wire/lots.ts";
import type { Fact, Section } from "./document.ts";

/** What was tested, by whom and when. */
export function aboutSection(lot: LotBody, printedAt: string, madeBy: string): Section {
  const drawn = fact("How drawn", lot.drawn, 3);
  const tested = [fact("Tested by", lot.testedBy, 3), fact("Tested", spanInWords(testedTimes(lot)), 3)];
  const rows = [
    [
      fact("Supplier", lot.supplier, 3),
      fact("Part", lot.part, 3),
      fact("Quantity", lot.quantity === null ? "" : String(lot.quantity), 1),
      fact("Specimens", drawnOf(lot), 2),
    ],
    ...(lot.drawn.length > SHORT ? [[drawn], tested] : [[drawn, ...tested]]),
    [
      fact("Lot", `${lot.id}, revision ${lot.revision}`, 3),
      fact("Printed", stamp(printedAt), 3),
      fact("Made by", madeBy, 3),
    ],
  ];
  return { heading: "Lot", across: false, whole: true, blocks: [{ kind: "facts", rows }] };
}

/** Letters that a third of the line holds in two lines. */
const SHORT = 48;

/** Such as `25 Nov 2026, 10:12 UTC`. */
function stamp(at: string): string {
  return `${dayOf(at)}, ${minuteOf(at)} UTC`;
}

/** From the first to the last, in words; empty where there is none. */
export function spanInWords(times: readonly string[]): string {
  const sorted = times.toSorted((a, b) => Date.parse(a) - Date.parse(b));
  const [first, last] = [sorted[0], sorted.at(-1)];
  if (first === undefined || last === undefined) return "";
  if (stamp(first) === stamp(last)) return stamp(first);
  if (dayOf(first) === dayOf(last)) return `${dayOf(first)}, ${minuteOf(first)} to ${minuteOf(last)} UTC`;
  return `${stamp(first)}, to ${stamp(last)}`;
}

function testedTimes({ workedFills, wakes, rows }: LotBody): readonly string[] {
  return [
    ...workedFills.flatMap(({ at, endedAt }) => [at, ...(endedAt === null ? [] : [endedAt])]),
    ...wakes.map(({ at }) => at),
    ...rows.flatMap(({ lastAt }) => (lastAt === null ? [] : [lastAt])),
  ];
}

function drawnOf({ sample, rows }: LotBody): string {
  return sample === null || sample === rows.length ? String(rows.length) : `${rows.length} of ${sample} drawn`;
}

function fact(name: string, value: string, share: number): Fact {
  return { name, value: value.trim() === "" ? "not entered" : value.trim(), share };
}
