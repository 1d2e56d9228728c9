import { readFileSync } from "node:fs";
import { buffer } from "node:stream/consumers";
import { pack } from "tar-stream";

/** A SigMF archive of one recording, as other programs make them: a folder of its name with both files in it. */
export async function archiveOf(metaFile: string, dataFile: string, name: string): Promise<Buffer> {
  const archive = pack();
  archive.entry({ name: `${name}/${name}.sigmf-meta` }, readFileSync(metaFile));
  archive.entry({ name: `${name}/${name}.sigmf-data` }, readFileSync(dataFile));
  archive.finalize();
  return buffer(archive);
}
