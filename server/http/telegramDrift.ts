import type { Said } from "../bench/said.ts";
import type { House } from "./house.ts";
import { measureBurst } from "./measureBurst.ts";
import { Problem } from "./problem.ts";
import { samplesHere } from "./samplesHere.ts";
import { soughtBursts } from "./soughtBurst.ts";
import type { SpecimenMoreBody } from "./wire/lots.ts";

/** Telegrams of one specimen that are measured for it, the newest. */
const MOST_MEASURED = 3;

/** How a specimen's carrier moves within a telegram, from the samples that are kept. */
export async function telegramDrift(house: House, said: readonly Said[]): Promise<SpecimenMoreBody["drift"]> {
  const none = (says: string) => ({ hz: null, sigmaHz: null, count: 0, says });
  const kept = said.filter(({ recording }) => recording !== null).slice(-MOST_MEASURED);
  if (kept.length === 0) return none("It takes samples: receivers' lines do not tell it.");
  try {
    const drifts: { readonly hz: number; readonly sigmaHz: number }[] = [];
    for (const { recording } of kept) if (recording) drifts.push(...(await driftsOf(house, recording)));
    if (drifts.length === 0) return none("Its telegrams are too faint to be measured by themselves.");
    const hz = drifts.reduce((sum, one) => sum + one.hz, 0) / drifts.length;
    const sigmaHz = Math.hypot(...drifts.map((one) => one.sigmaHz)) / drifts.length;
    const figure = `${Math.round(hz)} ± ${Math.round(2 * sigmaHz)} Hz`.replace("-", "−");
    const says =
      Math.abs(hz) > 2 * sigmaHz ? `Over a telegram it goes ${figure}` : `Over a telegram it stays: ${figure}`;
    return { hz, sigmaHz, count: drifts.length, says: `${says}, the mean of the last ${drifts.length}.` };
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    const isElsewhere = error.problem === "samples-elsewhere";
    return none(isElsewhere ? error.message : "The samples of its recording are gone.");
  }
}

async function driftsOf(
  house: House,
  { hash, index }: NonNullable<Said["recording"]>,
): Promise<readonly { readonly hz: number; readonly sigmaHz: number }[]> {
  const { store, shelf } = house;
  const kept = await store.recording(hash);
  if (!kept) return [];
  const recording = await samplesHere(house, kept);
  const bursts = (await store.burstsOf(hash)).filter((burst) => burst.index === index);
  const telegrams = (await store.telegramsOf(hash)).map(({ telegram }) => telegram);
  const [sought] = soughtBursts(bursts, telegrams, shelf.current(), recording.sampleRateHz);
  if (!sought) return [];
  const { found } = await measureBurst(house, recording, sought);
  if (!found || found.driftHz === null || found.driftSigmaHzPerSecond === null) return [];
  const seconds = (found.toSample - found.fromSample) / recording.sampleRateHz;
  return [{ hz: found.driftHz, sigmaHz: found.driftSigmaHzPerSecond * seconds }];
}
