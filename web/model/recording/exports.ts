import type { TimeRange } from "./range.ts";

export const EXPORT_FORMS = ["sigmf", "csv", "csv-spreadsheet", "json", "jsonl"] as const;
export type ExportForm = (typeof EXPORT_FORMS)[number];

export const EXPORT_WORDS: Readonly<Record<ExportForm, { readonly name: string; readonly says: string }>> = {
  sigmf: { name: "Samples with notes", says: "A SigMF archive: the samples, your notes, and what was found." },
  csv: { name: "CSV for programs", says: "The frames as a table, with a decimal point." },
  "csv-spreadsheet": { name: "CSV for my spreadsheet", says: "The same, with the marks of your language." },
  json: { name: "JSON", says: "The frames with all their fields and rungs." },
  jsonl: { name: "JSON Lines", says: "The same, one frame a line." },
};

export interface ExportAsked {
  /** `undefined`: all of it. */
  readonly range: TimeRange | undefined;
  readonly language: string;
  readonly marks?: readonly { readonly name: string; readonly atSeconds: number }[];
  /** What the columns or keys mean, instead of the frames. */
  readonly schema?: boolean;
}

/** The query of an export, such as `?form=csv&from=0.2&to=0.3`. */
export function exportQuery(form: ExportForm, { range, language, marks = [], schema = false }: ExportAsked): string {
  const query = new URLSearchParams({ form });
  if (range) {
    query.set("from", String(range.fromSeconds));
    query.set("to", String(range.toSeconds));
  }
  if (form === "csv-spreadsheet") query.set("locale", language);
  if (form === "sigmf" && marks.length > 0) {
    query.set(
      "marks",
      marks
        .map(({ name, atSeconds }) => `${encodeURIComponent(name)}@${atSeconds.toFixed(8).replace(/\.?0+$/, "")}`)
        .join(","),
    );
  }
  if (schema && form !== "sigmf") query.set("schema", "true");
  return `?${query}`;
}
