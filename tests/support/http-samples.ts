import type { Answered, HttpBench } from "./http-bench.ts";

/** Asks for a recording until its analysis has ended, and gives it back. */
export async function analysed({ ask }: HttpBench, hash: string): Promise<Answered["body"]> {
  for (let tries = 0; tries < 1800; tries++) {
    const { body } = await ask("GET", `/recordings/${hash}`);
    if (body.analysis.state === "done" || body.analysis.state === "failed") return body;
    await new Promise((resume) => setTimeout(resume, 50));
  }
  throw new Error(`${hash} was not analysed in a minute and a half`);
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
