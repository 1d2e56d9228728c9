import { escaped } from "../page.ts";
import type { JobBody } from "../wire.ts";
import { cutToLines, linesOf } from "./fit.ts";
import { FACT_PX, LINE_PX, SECTION_PX } from "./style.ts";
import { dayOf, inOneLine } from "./units.ts";

interface Fact {
  readonly name: string;
  readonly value: string;
  readonly place: keyof typeof FACT_PX;
}

/** Who and what the sheet is about, in two rows, and their height on paper. */
export function factRows(job: JobBody): { readonly html: string; readonly px: number } {
  const rows = [
    [
      fact("Plate", job.plate, "plate"),
      fact("Vehicle", job.vehicle, "vehicle"),
      fact("Odometer", job.odometerKm === null ? "" : `${grouped(job.odometerKm)} km`, "odometer"),
      fact("Date", dayOf(job.createdAt) ?? "", "day"),
      fact("Job", job.id, "job"),
    ],
    [
      fact("Came in for", cameInFor(job), "visit"),
      fact("Placard, cold", placards(job), "placard"),
      fact("Tyre type", job.tyreType, "tyre"),
    ],
  ];
  const heights = rows.map((row) => SECTION_PX + LINE_PX + LINE_PX * Math.max(...row.map(valueLines)));
  return { html: rows.map(rowHtml).join("\n"), px: heights.reduce((sum, px) => sum + px, 0) };
}

const MOST_LINES = 2;
/** Bold type is that much wider. */
const BOLD = 1.08;

function fact(name: string, value: string, place: Fact["place"]): Fact {
  const shown = value.trim() === "" ? "not entered" : cutToLines(value, MOST_LINES, FACT_PX[place] / BOLD);
  return { name, value: shown, place };
}

function valueLines({ value, place }: Fact): number {
  return linesOf(value, FACT_PX[place] / BOLD);
}

function rowHtml(row: readonly Fact[]): string {
  const parts = row.map(
    ({ name, value, place }) => `<div class="${place}"><dt>${escaped(name)}</dt><dd>${escaped(value)}</dd></div>`,
  );
  return `<dl class="facts">${parts.join("")}</dl>`;
}

function cameInFor({ visit, signedBefore }: JobBody): string {
  const words = visit === null ? "" : VISIT_WORDS[visit];
  if (signedBefore.trim() === "") return words;
  return [words, `check before the work signed by ${signedBefore.trim()}`].filter((part) => part !== "").join("; ");
}

const VISIT_WORDS: Readonly<Record<NonNullable<JobBody["visit"]>, string>> = {
  "lamp steady": "lamp on, steady",
  "lamp flashing": "lamp flashing first, then on",
  "before tyre work": "check before tyre work",
  rotation: "rotation",
  "second set": "second set of wheels",
  other: "other",
};

function placards({ placardFrontKpa, placardRearKpa, placardSpareKpa, placardUnit }: JobBody): string {
  const parts = [
    ["front", placardFrontKpa],
    ["rear", placardRearKpa],
    ["spare", placardSpareKpa],
  ] as const;
  const entered = parts.flatMap(([where, kpa]) => (kpa === null ? [] : [`${where} ${inOneLine(kpa, placardUnit)}`]));
  return entered.join(", ");
}

/** With a narrow space every three digits, which no country takes for a decimal mark. */
function grouped(value: number): string {
  return String(Math.round(value)).replace(/(\d)(?=(\d{3})+$)/g, "$1\u202f");
}
