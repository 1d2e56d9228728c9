/** A result file in words, for whoever takes it away. */
export interface ResultWords {
  readonly says: string;
  readonly group: "tables" | "about" | "plots";
}

const KNOWN: readonly (readonly [pattern: RegExp, says: string, group: ResultWords["group"]])[] = [
  [/^telegrams\.csv$/, "every telegram, a row each; CSV with a decimal point", "tables"],
  [/^telegrams\.jsonl$/, "the same, a JSON object a line", "tables"],
  [/^telegrams\.parquet$/, "the same, for programs that read columns", "tables"],
  [/^bursts\.csv$/, "every burst with where it stopped; CSV with a decimal point", "tables"],
  [/^bursts\.jsonl$/, "the same, a JSON object a line", "tables"],
  [/^bursts\.parquet$/, "the same, for programs that read columns", "tables"],
  [/^inputs\.csv$/, "every input with its state, its reason and its counts", "tables"],
  [/^ladder\.csv$/, "how many bursts stopped at each rung", "tables"],
  [/^schema\.json$/, "what each column means, with its unit", "about"],
  [/^statistics\.json$/, "success, errors and timing", "about"],
  [/^manifest\.json$/, "program, layouts, settings and hashes of all that went in and came out", "about"],
  [/^CITATION\.txt$/, "how to cite program, layouts and data", "about"],
  [/\.sigmf-collection$/, "the recordings as a SigMF collection", "about"],
  [/^plots\/.*\.svg$/, "a drawing", "plots"],
];

/** What a result file is. One that is not known here is told by its name alone. */
export function resultWords(name: string): ResultWords {
  const known = KNOWN.find(([pattern]) => pattern.test(name));
  return known ? { says: known[1], group: known[2] } : { says: "", group: "about" };
}
