import { readFileSync } from "node:fs";
import { join } from "node:path";
import { buffer } from "node:stream/consumers";
import { pack } from "tar-stream";
import { type Answered, type HttpBench, samplesDir } from "./http-bench.ts";

/** A sample as the bytes of its two files. */
export function sample(name: string): { readonly meta: Buffer; readonly data: Buffer } {
  return {
    meta: readFileSync(join(samplesDir, `${name}.sigmf-meta`)),
    data: readFileSync(join(samplesDir, `${name}.sigmf-data`)),
  };
}

/** A SigMF archive of one recording. */
export async function archiveOf(name: string, { meta, data }: { meta: Buffer; data: Buffer }): Promise<Buffer> {
  const archive = pack();
  archive.entry({ name: `${name}/${name}.sigmf-meta` }, meta);
  archive.entry({ name: `${name}/${name}.sigmf-data` }, data);
  archive.finalize();
  return buffer(archive);
}

/** Asks for a recording until its analysis has ended, and gives it back. */
export async function analysed({ ask }: HttpBench, hash: string): Promise<Answered["body"]> {
  for (let tries = 0; tries < 600; tries++) {
    const { body } = await ask("GET", `/recordings/${hash}`);
    if (body.analysis.state === "done" || body.analysis.state === "failed") return body;
    await new Promise((resume) => setTimeout(resume, 50));
  }
  throw new Error(`${hash} was not analysed in half a minute`);
}

export const emptyCard = {
  plate: "TEST 1",
  vehicle: "",
  odometerKm: null,
  complaint: "",
  placardFrontKpa: 230,
  placardRearKpa: 230,
  placardSpareKpa: null,
  ambientKpa: null,
  wheels: ["left front", "right front", "left rear", "right rear"].map((position) => ({ position, identity: null })),
  receiverIds: [] as string[],
  recordingHashes: [] as string[],
};
