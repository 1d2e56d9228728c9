/** A table of the results in the forms in which it can be had. */
export interface ResultTable {
  readonly name: string;
  readonly says: string;
  /** File names by their form, in a fixed order. */
  readonly forms: readonly { readonly words: string; readonly file: string }[];
}

const FORMS = [
  ["csv", "CSV"],
  ["jsonl", "JSON Lines"],
  ["parquet", "Parquet"],
] as const;

const TABLES: Readonly<Record<string, string>> = {
  telegrams: "every telegram",
  bursts: "every burst, with where it stopped",
  inputs: "every input, with its state, its reason and its counts",
  ladder: "how many bursts stopped at each rung",
  reasons: "why they stopped there, and how often",
};

const ABOUT: readonly (readonly [pattern: RegExp, says: string])[] = [
  [/^schema\.json$/, "what each column means, with its unit"],
  [/^statistics\.json$/, "success, errors and timing"],
  [/^manifest\.json$/, "program, layouts, settings, and the hashes of what went in and came out"],
  [/^CITATION\.txt$/, "how to cite program, layouts and data"],
  [/\.sigmf-collection$/, "the recordings as a SigMF collection"],
];

/** The tables among the result files: what most ask for first, one that is not known here last. */
export function resultTables(files: readonly string[]): readonly ResultTable[] {
  const names = new Set(
    files.flatMap((file) => (formOf(file) === undefined ? [] : [file.slice(0, file.lastIndexOf("."))])),
  );
  const order = [
    ...Object.keys(TABLES).filter((name) => names.has(name)),
    ...[...names].filter((name) => !TABLES[name]),
  ];
  return order.map((name) => ({
    name,
    says: TABLES[name] ?? "",
    forms: FORMS.flatMap(([ending, words]) => {
      const file = `${name}.${ending}`;
      return files.includes(file) ? [{ words, file }] : [];
    }),
  }));
}

/** Whether a result file is a drawing. */
export function isPlot(file: string): boolean {
  return file.endsWith(".svg");
}

/** Files that are neither tables nor drawings, each with what it is; nothing is said of one that is not known here. */
export function aboutFiles(files: readonly string[]): readonly { readonly file: string; readonly says: string }[] {
  return files
    .filter((file) => !isPlot(file) && formOf(file) === undefined)
    .map((file) => ({ file, says: ABOUT.find(([pattern]) => pattern.test(file))?.[1] ?? "" }));
}

function formOf(file: string): string | undefined {
  return FORMS.find(([ending]) => file.endsWith(`.${ending}`))?.[0];
}
