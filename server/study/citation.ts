import { printable } from "../recordings/inputError.ts";
import type { RegisteredInput } from "./input.ts";
import type { StudySettings } from "./settings.ts";

/** How to cite the program itself. */
export function toolCitation(toolVersion: string): string {
  return `Wheelgram, version ${toolVersion}. Computer program: listens to tyre-pressure sensors. MIT licence.\n`;
}

/**
 * How to cite the program, the layouts and the recordings of a study, in plain text: what the recordings say of their
 * authors, licences and identifiers, and what tells the bytes apart whatever they are called.
 */
export function citation(settings: StudySettings, inputs: readonly RegisteredInput[]): string {
  const used = inputs.filter(({ skipped }) => skipped === undefined);
  const layouts = settings.layouts.map(
    ({ id, version, sha256 }) => `  ${id}${version === null ? "" : `, version ${version}`}, SHA-256 ${sha256}`,
  );
  const data = [
    ...told(used, "Author", ({ author }) => author),
    ...told(used, "Licence", ({ license }) => license),
    ...told(used, "Data", ({ dataDoi }) => doi(dataDoi)),
    ...told(used, "Metadata", ({ metaDoi }) => doi(metaDoi)),
  ];
  const count = used.length === 1 ? "1 recording" : `${used.length} recordings`;
  return [
    "Program",
    `  ${toolCitation(settings.toolVersion).trimEnd()}`,
    "",
    "Layouts",
    ...(layouts.length > 0 ? layouts : ["  none"]),
    "",
    "Data",
    `  ${settings.title}: ${count}; the SHA-512 of each stands in the study's manifest.`,
    ...(data.length > 0 ? data : ["  The recordings name no author, licence or DOI."]),
    "",
  ].join("\n");
}

/** Each thing said, once, in the order first met, with how many recordings say it. */
function told(
  inputs: readonly RegisteredInput[],
  word: string,
  of: (origin: NonNullable<RegisteredInput["origin"]>) => string | undefined,
): string[] {
  const counts = new Map<string, number>();
  for (const { origin } of inputs) {
    const said = origin === undefined ? undefined : printable(of(origin) ?? "").trim();
    if (said) counts.set(said, (counts.get(said) ?? 0) + 1);
  }
  return [...counts].map(([said, count]) => {
    const share = count === inputs.length ? "" : ` (${count} of ${inputs.length})`;
    return `  ${word}: ${said}${share}`;
  });
}

/** As an address that anybody can open. @source SigMF 1.2.5: the keys hold a DOI, such as 10.1000/182. */
function doi(text: string | undefined): string | undefined {
  return text === undefined || /^https?:/i.test(text) ? text : `https://doi.org/${text.replace(/^doi:/i, "")}`;
}
