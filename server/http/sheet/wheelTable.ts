import { escaped } from "../page.ts";
import type { JobBody, ProofBody, WheelLineBody } from "../wire.ts";
import { cutToLines, type Flexible, linesOf } from "./fit.ts";
import { COLUMN_PX, GAP_PX, LINE_PX, ROW_PX, SHEET_PX } from "./style.ts";
import { degrees, inPairs, inTwoUnits, megahertz } from "./units.ts";

/** A row whose finding may be cut to fit. */
export interface WheelRow {
  readonly strength: WheelLineBody["strength"];
  /** Lines of the row: `least` is what its other cells fill. */
  readonly room: Flexible;
  readonly html: (lines: number) => string;
}

export interface WheelTable {
  readonly rows: readonly WheelRow[];
  /** Height on paper beside the lines of the rows. */
  readonly fixedPx: number;
  /** @param lines Of each row. */
  readonly html: (lines: readonly number[]) => string;
}

interface Column {
  readonly name: string;
  readonly className: string;
  readonly widthPx: number;
  readonly lines: (wheel: WheelOfSheet) => readonly string[];
}

interface WheelOfSheet {
  readonly line: WheelLineBody;
  readonly wheel: JobBody["wheels"][number] | undefined;
  readonly proof: ProofBody | undefined;
}

/**
 * The wheels: each with what its sensor said, in two units, and what was found. Before and after stand side by side where
 * something was proved, and the hand gauge where one was used.
 *
 * @param proof One for each wheel that has one, empty where nothing was to be proved.
 */
export function wheelTable(job: JobBody, proof: readonly ProofBody[]): WheelTable {
  const wheels = job.lines.map((line, i) => ({
    line,
    wheel: job.wheels[i],
    proof: proof.find(({ position }) => position === line.position),
  }));
  const columns = columnsOf(job, proof.length > 0);
  const findingPx =
    SHEET_PX.width - columns.reduce<number>((sum, { widthPx }) => sum + widthPx, COLUMN_PX.wheel) - GAP_PX;
  const rows = wheels.map((wheel) => wheelRow(wheel, columns, findingPx));
  const heads = [
    head("Wheel", "wheel"),
    ...columns.map(({ name, className }) => head(name, className)),
    head("Finding", "finding"),
  ];
  return {
    rows,
    fixedPx: 2 * LINE_PX + ROW_PX + 3 + rows.length * ROW_PX,
    html: (lines) => `<table class="wheels" role="table">
<thead role="rowgroup"><tr role="row">${heads.join("")}</tr></thead>
<tbody role="rowgroup">
${rows.map(({ html }, i) => html(lines[i] ?? 1)).join("\n")}
</tbody></table>`,
  };
}

/** The same shapes as on the pages, without their colours. */
const STRENGTH_MARKS: Readonly<Record<WheelLineBody["strength"], string>> = {
  "as expected": "",
  "look here": "▲ Look here: ",
  stop: "■ Stop: ",
};

function columnsOf({ placardUnit, wheels }: JobBody, proved: boolean): readonly Column[] {
  const pressure = (kpa: number | null, instead: string) => (kpa === null ? [instead] : inTwoUnits(kpa, placardUnit));
  const figure = (name: string, lines: Column["lines"]): Column => ({
    name,
    className: "pressure figure",
    widthPx: COLUMN_PX.pressure,
    lines,
  });
  const before = figure("Before", ({ proof }) =>
    proof === undefined ? ["–"] : pressure(proof.gaugeKpa, proof.heard ? "not told" : "not heard"),
  );
  const heard = figure(proved ? "After" : "Pressure", ({ line, proof }) => {
    if (proof && !proof.heardAfter) return ["not heard"];
    return pressure(line.gaugeKpa, line.state === "heard" ? "not told" : "none");
  });
  const byHand = figure("Hand gauge", ({ wheel }) => pressure(wheel?.handGaugeKpa ?? null, "–"));
  return [
    { name: "Sensor ID", className: "ids", widthPx: COLUMN_PX.ids, lines: identities },
    {
      name: "Frequency",
      className: "carrier figure",
      widthPx: COLUMN_PX.carrier,
      lines: ({ line }) => [line.carrierHz === null ? "–" : megahertz(line.carrierHz)],
    },
    {
      name: "Temp., battery",
      className: "state figure",
      widthPx: COLUMN_PX.state,
      lines: ({ line }) => [line.temperatureC === null ? "–" : degrees(line.temperatureC), line.battery ?? "–"],
    },
    ...(proved ? [before] : []),
    heard,
    figure("Placard", ({ line }) => pressure(line.placardKpa, "none")),
    ...(wheels.some(({ handGaugeKpa }) => handGaugeKpa !== null) ? [byHand] : []),
  ];
}

/** The sensor that is in the wheel and, where it was replaced, the one that it came for. */
function identities({ line, wheel }: WheelOfSheet): readonly string[] {
  const now = line.identity === null ? "none" : inPairs(line.identity);
  const replaced = wheel?.replaced ?? null;
  if (replaced === null) return [now];
  const old = replaced.oldIdentity === null ? "unknown" : inPairs(replaced.oldIdentity);
  return [`new ${now}`, `old ${old}`];
}

function wheelRow(wheel: WheelOfSheet, columns: readonly Column[], findingPx: number): WheelRow {
  const { line } = wheel;
  // Keying and rate say nothing to a customer; the frequency has a column of its own.
  const plain = line.finding.replace(/: [\d.]+ MHz(, [AF]SK)?(, \d+ symbols\/s)?/, "");
  const finding = `${STRENGTH_MARKS[line.strength]}${plain}`;
  const cells = columns.map((column) => ({ column, lines: column.lines(wheel) }));
  const positionPx = COLUMN_PX.wheel - GAP_PX;
  const least = Math.max(
    linesOf(line.position, positionPx / BOLD),
    ...cells.map(({ column, lines }) => linesIn(column, lines)),
  );
  return {
    strength: line.strength,
    room: { wanted: Math.max(least, linesOf(finding, findingPx)), least },
    html(lines) {
      const [mark = "", ...words] = cutToLines(finding, lines, findingPx).split(": ");
      const marked = STRENGTH_MARKS[line.strength] !== "" && words.length > 0;
      const text = marked
        ? `<strong>${escaped(mark)}:</strong> ${escaped(words.join(": "))}`
        : escaped([mark, ...words].join(": "));
      return `<tr role="row"><th role="rowheader" scope="row" class="wheel">${escaped(capital(line.position))}</th>${cells
        .map(({ column, lines }) => cell(column, lines))
        .join("")}<td role="cell" data-label="Finding">${text}</td></tr>`;
    },
  };
}

const BOLD = 1.08;
/** Letters of the fixed-width face are 0.6 of its size wide. @source Courier's and Liberation Mono's metrics; memory. */
const MONO_PX = 0.61 * 12;

function linesIn({ className, widthPx }: Column, lines: readonly string[]): number {
  if (className !== "ids") return lines.length;
  // A line may end two letters early, since groups do not break.
  const letters = Math.floor((widthPx - GAP_PX) / MONO_PX);
  return lines.reduce((sum, line) => sum + (line.length <= letters ? 1 : Math.ceil(line.length / (letters - 2))), 0);
}

function head(name: string, className: string): string {
  return `<th role="columnheader" scope="col" class="${className}">${escaped(name)}</th>`;
}

function cell({ name, className }: Column, lines: readonly string[]): string {
  const spans = lines.map((line) => `<span>${escaped(line)}</span>`);
  return `<td role="cell" class="${className}" data-label="${escaped(name)}">${spans.join("")}</td>`;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
