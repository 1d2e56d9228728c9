import { figure } from "../quantities.ts";

/** A figure of a study as it is shown. */
export interface StatisticsRow {
  readonly what: string;
  readonly value: string;
  readonly bounds: string;
}

/** The figures that most ask for, out of the statistics file; one that the file does not have is left out. */
export function statisticsRows(file: unknown): readonly StatisticsRow[] {
  return FIGURES.flatMap(({ what, path, row }) => {
    const found = path.reduce<unknown>((value, key) => partOf(value, key), file);
    const shown = row(found);
    return shown ? [{ what, ...shown }] : [];
  });
}

type Shown = Omit<StatisticsRow, "what"> | undefined;

const FIGURES: readonly { what: string; path: readonly string[]; row: (value: unknown) => Shown }[] = [
  { what: "Inputs with a burst", path: ["success", "inputsWithBurst"], row: shareRow },
  { what: "Inputs with a verified telegram", path: ["success", "inputsWithVerifiedTelegram"], row: shareRow },
  { what: "Bursts that were read", path: ["success", "burstsRead"], row: shareRow },
  { what: "Telegrams whose check agrees", path: ["success", "telegramsVerified"], row: shareRow },
  { what: "Telegrams in which bits were repaired", path: ["errors", "repairedTelegrams"], row: shareRow },
  { what: "Telegrams with values out of range", path: ["errors", "implausibleTelegrams"], row: shareRow },
  {
    what: "Verified telegrams that are false, as many as to expect",
    path: ["errors", "falseAccepts", "expected"],
    row: plainRow,
  },
  { what: "Time listened", path: ["success", "secondsListened"], row: (value) => numberRow(value, 1, "s") },
  { what: "Over noise, the middle of all bursts", path: ["heard", "snrDb"], row: (value) => spreadRow(value, 1, "dB") },
  {
    what: "From one telegram to the sensor's next, the middle",
    path: ["heard", "gapSeconds"],
    row: (value) => spreadRow(value, 3, "s"),
  },
];

function shareRow(value: unknown): Shown {
  const [count, of, share, from, to] = ["count", "of", "share", "from", "to"].map((key) => partOf(value, key));
  if (typeof count !== "number" || typeof of !== "number") return undefined;
  const known = typeof share === "number" && typeof from === "number" && typeof to === "number";
  return {
    value: known ? `${count} of ${of}, ${percent(share)}` : `${count} of ${of}`,
    bounds: known ? `${percent(from)} to ${percent(to)}` : "–",
  };
}

function spreadRow(value: unknown, decimals: number, unit: string): Shown {
  const [median, p5, p95] = ["median", "p5", "p95"].map((key) => partOf(value, key));
  if (typeof median !== "number") return undefined;
  const known = typeof p5 === "number" && typeof p95 === "number";
  return {
    value: `${figure(median, decimals)}\u202f${unit}`,
    bounds: known ? `nine in ten: ${figure(p5, decimals)} to ${figure(p95, decimals)}\u202f${unit}` : "–",
  };
}

function numberRow(value: unknown, decimals: number, unit: string): Shown {
  return typeof value === "number" ? { value: `${figure(value, decimals)}\u202f${unit}`, bounds: "–" } : undefined;
}

/** A number that may be very small. */
function plainRow(value: unknown): Shown {
  if (typeof value !== "number") return undefined;
  return { value: value === 0 || value >= 0.001 ? String(Number(value.toPrecision(2))) : "under 0.001", bounds: "–" };
}

function percent(share: number): string {
  return `${figure(100 * share, 1)}\u202f%`;
}

function partOf(value: unknown, key: string): unknown {
  if (typeof value !== "object" || value === null) return undefined;
  return Object.entries(value).find(([name]) => name === key)?.[1];
}
