import { posix } from "node:path";
import type { StudyFacts } from "./facts.ts";
import type { ResultFolder } from "./resultFolder.ts";

/** The version of SigMF that is written. */
const SIGMF_VERSION = "1.2.5";

/**
 * Writes a SigMF collection for each folder that recordings of the study lie in, since a collection is to lie beside its
 * recordings. Nothing where there are no SigMF recordings.
 *
 * @source SigMF specification 1.2.5, "Collections" and "SigMF Recording Objects".
 */
export async function writeCollections(folder: ResultFolder, { title, inputs }: StudyFacts): Promise<void> {
  const byFolder = new Map<string, { name: string; hash: string }[]>();
  for (const { name, state, sigmf } of inputs) {
    if (!sigmf || state === "skipped") continue;
    const beside = posix.dirname(name);
    const streams = byFolder.get(beside) ?? [];
    streams.push({ name: sigmf.name, hash: sigmf.metadataHash });
    byFolder.set(beside, streams);
  }
  const base = fileBase(title);
  let written = 0;
  for (const [beside, streams] of byFolder) {
    const number = byFolder.size > 1 ? `-${written + 1}` : "";
    const where =
      beside === "." ? "This file belongs into the folder of its recordings." : `This file belongs into ${beside}.`;
    const collection = {
      "core:version": SIGMF_VERSION,
      "core:description": `Recordings of the study ${title}. ${where}`,
      "core:streams": streams,
    };
    const text = `${JSON.stringify({ collection }, null, 2)}\n`;
    await folder.write(`${base}${number}.sigmf-collection`, text);
    written++;
  }
}

/** A title as the name of a file: letters, digits, points, hyphens and low lines. */
function fileBase(title: string): string {
  const base = title.replace(/[^\p{L}\p{N}._]+/gu, "-").replace(/^[-.]+|[-.]+$/g, "");
  // A name of a file may have 255 bytes, and a character four.
  return base === "" ? "study" : [...base].slice(0, 50).join("");
}
