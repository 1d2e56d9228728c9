import { posix } from "node:path";
import type { StudyFacts } from "./facts.ts";
import { type WrittenFile, writeResult } from "./resultFile.ts";

/** The version of SigMF that is written. */
const SIGMF_VERSION = "1.2.5";

/**
 * Writes a SigMF collection for each folder that recordings of the study lie in, since a collection is to lie beside its
 * recordings. Nothing where there are no SigMF recordings.
 *
 * @source SigMF specification 1.2.5, "Collections" and "SigMF Recording Objects".
 */
export async function writeCollections(folder: string, { title, inputs }: StudyFacts): Promise<WrittenFile[]> {
  const byFolder = new Map<string, { name: string; hash: string }[]>();
  for (const { name, state, sigmf } of inputs) {
    if (!sigmf || state === "skipped") continue;
    const beside = posix.dirname(name);
    const streams = byFolder.get(beside) ?? [];
    streams.push({ name: sigmf.name, hash: sigmf.metadataHash });
    byFolder.set(beside, streams);
  }
  const base = fileBase(title);
  const files: WrittenFile[] = [];
  for (const [beside, streams] of byFolder) {
    const number = byFolder.size > 1 ? `-${files.length + 1}` : "";
    const where =
      beside === "." ? "This file belongs into the folder of its recordings." : `This file belongs into ${beside}.`;
    const collection = {
      "core:version": SIGMF_VERSION,
      "core:description": `Recordings of the study ${title}. ${where}`,
      "core:streams": streams,
    };
    const text = `${JSON.stringify({ collection }, null, 2)}\n`;
    files.push(await writeResult(folder, `${base}${number}.sigmf-collection`, text));
  }
  return files;
}

/** A title as the name of a file: letters, digits, points and hyphens. */
function fileBase(title: string): string {
  const base = title
    .replace(/[^\p{L}\p{N}._]+/gu, "-")
    .replace(/^[-.]+|[-.]+$/g, "")
    .slice(0, 80);
  return base === "" ? "study" : base;
}
