import type { Frame } from "./frames.ts";
import { copyWords, verdictWords } from "./frameWords.ts";
import type { TimeRange } from "./range.ts";

const HEAD = [
  "At, s",
  "Length, ms",
  "Carrier, Hz",
  "Level, dBFS",
  "Over noise, dB",
  "Sensor ID",
  "Copy",
  "Verdict",
  "Index",
];

/**
 * The frames that are shown as a table to paste into a spreadsheet: tabs between the cells. Text that would be taken for
 * a formula begins with an apostrophe, a number never does.
 *
 * @param decimalMark The one that the spreadsheet reads.
 */
export function frameTsv(frames: readonly Frame[], range: TimeRange, decimalMark: "." | ","): string {
  const shown = frames.filter(
    ({ fromSeconds, toSeconds }) => toSeconds > range.fromSeconds && fromSeconds < range.toSeconds,
  );
  const rows = shown.map((frame) => {
    const { burst, telegram } = frame;
    return [
      burst.atSeconds,
      Number((burst.durationSeconds * 1000).toFixed(4)),
      burst.carrierHz,
      burst.levelDbfs,
      burst.snrDb,
      telegram?.identity ?? "",
      copyWords(frame),
      verdictWords(frame),
      burst.index,
    ].map((cell) => cellText(cell, decimalMark));
  });
  return [HEAD, ...rows].map((row) => row.join("\t")).join("\n");
}

/** How this language writes the mark of decimals. */
export function decimalMarkOf(language: string): "." | "," {
  const parts = new Intl.NumberFormat(language, { numberingSystem: "latn" }).formatToParts(1.5);
  return parts.find(({ type }) => type === "decimal")?.value === "," ? "," : ".";
}

function cellText(cell: string | number | null, decimalMark: "." | ","): string {
  if (cell === null) return "";
  if (typeof cell === "number") return String(cell).replace(".", decimalMark);
  const plain = cell.replace(/[\t\r\n]+/g, " ");
  // A sensor ID of digits, or of digits around an e, would become a number.
  return /^[=+\-@]/.test(plain) || /^\d+(e\d+)?$/i.test(plain) ? `'${plain}` : plain;
}
