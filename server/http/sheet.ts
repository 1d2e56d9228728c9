import { SEA_LEVEL_KPA } from "../../decoders/units.ts";
import { escaped, page } from "./page.ts";
import { factRows } from "./sheet/facts.ts";
import { type Flexible, shareLines } from "./sheet/fit.ts";
import {
  fixedPxOf,
  MARK_NOT_TYPED,
  roomOf,
  type Section,
  type SheetText,
  sectionHtml,
  whole,
} from "./sheet/section.ts";
import { SENTENCES } from "./sheet/sentences.ts";
import { LINE_PX, type Paper, SHEET_PX, SIGN_PX, TITLE_PX } from "./sheet/style.ts";
import { airInOneLine, dayOf, listed, minuteOf } from "./sheet/units.ts";
import { wheelTable } from "./sheet/wheelTable.ts";
import { cautions, notChecked, ofNewSensors, type Part, said } from "./sheet/words.ts";
import type { JobBody, ProofBody, RunBody } from "./wire.ts";

export interface SheetContext {
  /** Receivers and recordings that were listened to, by name. */
  readonly heardBy: readonly string[];
  /** When receivers were listened to, the oldest first. */
  readonly runs: readonly RunBody[];
  /** What each wheel said before the card's `proofFrom`; empty where nothing was to be proved. */
  readonly before: readonly ProofBody[];
  /** `undefined`: whatever the printer has. */
  readonly paper: Paper | undefined;
  /** RFC 3339. */
  readonly printedAt: string;
  readonly version: string;
}

/**
 * The hand-over sheet of a job as a page to print: who, what was found on each wheel, what was done, and what was not
 * checked. Up to ten wheels it fills one page of A4 or Letter, and what people typed is cut, and told so, where
 * it would fill more; with more wheels it fills two.
 */
export function jobSheet(job: JobBody, context: SheetContext): string {
  const { paper, before } = context;
  const plate = job.plate.trim();
  const name = plate === "" || plate.length > MOST_OF_TITLE ? job.id : plate;
  const facts = factRows(job);
  const table = wheelTable(job, before);
  const complaint = partSection(job, "Complaint", "complaint");
  const sections = [
    partSection(job, "Finding", "finding"),
    partSection(job, "Cause", "cause"),
    doneSection(job),
    partSection(job, "Advised", "advised"),
    lampSection(job),
    { heading: "Not checked", texts: notChecked(job).map(({ text, typed }) => ({ mark: "", text, cut: typed })) },
    measuredSection(job, context),
    { heading: "Take care", texts: [whole(cautions(job, before).join(" "))] },
  ];
  const all = [complaint, ...sections];
  const texts = all.flatMap((section) => section.texts);
  // What is to be stopped or looked at comes before words about it.
  const rows = table.rows.toSorted((a, b) => STRENGTHS.indexOf(a.strength) - STRENGTHS.indexOf(b.strength));
  const flexible = [...rows.map(({ room }) => room), ...texts.map(roomOf)];
  const fixedPx =
    TITLE_PX + facts.px + table.fixedPx + SIGN_PX + all.reduce((sum, section) => sum + fixedPxOf(section), 0);
  const shared = shareLines(flexible, spareLines(flexible, fixedPx));
  const linesOfRow = new Map(rows.map((row, i) => [row, shared[i] ?? 1]));
  const linesOfText = new Map(texts.map((text, i) => [text, shared[rows.length + i] ?? 1]));
  const html = (section: Section) =>
    sectionHtml(
      section,
      section.texts.map((text) => linesOfText.get(text) ?? 1),
    );
  return page(
    `Hand-over sheet ${name}`,
    `<p class="hint">${SENTENCES.print} Paper: ${papers(paper)} <a href="/jobs/${encodeURIComponent(job.id)}">Back to the card</a></p>
<h1>Hand-over sheet ${escaped(name)}</h1>
${facts.html}
${html(complaint)}
${table.html(table.rows.map((row) => linesOfRow.get(row) ?? 1))}
${sections.map(html).join("\n")}
<section class="last"><h2>Signed</h2><div><p>${SENTENCES.signature}</p>
<div class="sign"><span>Technician, date</span><span>Customer, date</span></div></div></section>`,
    ["sheet", ...(paper === undefined ? [] : [`sheet-${paper}`])],
  );
}

/** Letters of a plate that the heading has room for. */
const MOST_OF_TITLE = 20;
const STRENGTHS: readonly JobBody["lines"][number]["strength"][] = ["stop", "look here", "as expected"];

/** For what a browser rounds. */
const SLACK_PX = 6;
/** Where a page ends, a row or section that does not fit leaves room empty, and the heads of the table come again. */
const BREAK_PX = 160;

/** Lines that one page has left; where it cannot hold even what no text can do without, those of as many as it takes. */
function spareLines(flexible: readonly Flexible[], fixedPx: number): number {
  const leastPx = fixedPx + LINE_PX * flexible.reduce((sum, { least }) => sum + least, 0);
  let roomPx = SHEET_PX.height - SLACK_PX;
  while (roomPx < leastPx) roomPx += SHEET_PX.height - BREAK_PX;
  return Math.floor((roomPx - leastPx) / LINE_PX);
}

function partSection(job: JobBody, heading: string, part: Part): Section {
  const { text, typed } = said(job, part);
  const mark = typed || part === "complaint" ? "" : MARK_NOT_TYPED;
  return { heading, texts: [{ mark, text, cut: typed }] };
}

function doneSection(job: JobBody): Section {
  const done = partSection(job, "Done", "done");
  const more = ofNewSensors(job);
  return more === "" ? done : { ...done, texts: [...done.texts, whole(more)] };
}

function lampSection(job: JobBody): Section {
  const [seenBy, before, after] = [job.lampOffBy.trim(), job.codesBefore.trim(), job.codesAfter.trim()];
  const lamp = seenBy === "" ? SENTENCES.lampUnknown : SENTENCES.lampOff(seenBy);
  const codes = [
    { mark: "Codes before clearing:", text: before, cut: true },
    { mark: "Codes after clearing:", text: after, cut: true },
  ].filter(({ text }) => text !== "");
  const about = codes.length === 0 ? SENTENCES.codesNone : SENTENCES.codesMeaning;
  return { heading: "Lamp, codes", texts: [{ mark: "", text: `${about} ${lamp}`, cut: seenBy !== "" }, ...codes] };
}

function measuredSection(job: JobBody, { heardBy, runs, printedAt, version }: SheetContext): Section {
  const { ambientKpa, others, unreadableBursts } = job;
  const air =
    ambientKpa === null
      ? SENTENCES.airAssumed(airInOneLine(SEA_LEVEL_KPA))
      : SENTENCES.airEntered(airInOneLine(ambientKpa));
  const names = heardBy.length > 0 ? SENTENCES.listenedTo(listed(heardBy)) : SENTENCES.listenedToNothing;
  const sentences = [
    ...(runs.length > 0 ? [listeningTimes(runs)] : []),
    SENTENCES.warmTyre,
    air,
    SENTENCES.radioGuide,
    ...(others.length > 0 ? [SENTENCES.onNoWheel(counted(others.length, "sensor"))] : []),
    ...(unreadableBursts > 0 ? [SENTENCES.unread(counted(unreadableBursts, "burst"))] : []),
    `Printed ${dayOf(printedAt)}, ${minuteOf(printedAt)} UTC, by Wheelgram ${version}.`,
  ];
  const listened: SheetText = { mark: "", text: names, cut: true };
  return { heading: "How measured", texts: [listened, whole(sentences.join(" "))] };
}

/** From when to when, with the day where it changes. */
function listeningTimes(runs: readonly RunBody[]): string {
  const first = runs[0]?.startedAt ?? "";
  const last = runs.at(-1)?.endedAt ?? null;
  const until = last === null ? "now" : `${dayOf(last) === dayOf(first) ? "" : `${dayOf(last)}, `}${minuteOf(last)}`;
  const times = runs.length === 1 ? "" : `, ${runs.length} times`;
  return `Receivers on ${dayOf(first)}, ${minuteOf(first)} to ${until} UTC${times}.`;
}

function papers(paper: Paper | undefined): string {
  const named = [
    ["a4", "A4"],
    ["letter", "Letter"],
  ] as const;
  return named
    .map(([value, name]) =>
      value === paper
        ? `<a href="?paper=${value}" aria-current="true">${name} (chosen)</a>`
        : `<a href="?paper=${value}">${name}</a>`,
    )
    .join(" ");
}

function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? "" : "s"}`;
}
