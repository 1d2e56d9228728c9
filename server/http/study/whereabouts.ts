import { relative, sep } from "node:path";
import type { BurstRecord } from "../../../decoders/records.ts";
import type { DataFolder } from "../../store/dataFolder.ts";
import type { Store } from "../../store/store.ts";
import type { StudyInput } from "../../study/input.ts";
import { asksOf } from "../inPlaceFiles.ts";
import type { InPlaceOpenBody } from "../wire.ts";

/** Where the recording of an input can be looked at. */
export interface Whereabouts {
  readonly recordingHash: string | null;
  readonly inPlacePath: string | null;
  /** What a file that does not say it itself is to be opened with. */
  readonly inPlaceTold: Omit<InPlaceOpenBody, "path">;
}

/** Answers for inputs of one page. The same recording is asked for once. */
export interface Finder {
  readonly where: (input: Pick<StudyInput, "hash" | "path" | "hints">) => Promise<Whereabouts>;
  /** The index of the burst that begins there in the house's own analysis; `null` without one. */
  readonly frame: (hash: string, burst: Pick<BurstRecord, "atSeconds" | "durationSeconds">) => Promise<number | null>;
}

export function createFinder(store: Pick<Store, "recording" | "burstsOf">, folder: DataFolder): Finder {
  const known = new Map<string, Promise<boolean>>();
  const bursts = new Map<string, ReturnType<Store["burstsOf"]>>();
  return {
    async where({ hash, path, hints }) {
      if (hash !== undefined && (await once(known, hash, async () => (await store.recording(hash)) !== undefined))) {
        return { recordingHash: hash, inPlacePath: null, inPlaceTold: {} };
      }
      const below = relative(folder.inPlaceDir, path).split(sep).join("/");
      const isBelow = below !== "" && !below.startsWith("../");
      return {
        recordingHash: null,
        inPlacePath: isBelow ? below : null,
        inPlaceTold: isBelow ? toldOf(below, hints) : {},
      };
    },
    async frame(hash, { atSeconds, durationSeconds }) {
      const all = await once(bursts, hash, () => store.burstsOf(hash));
      // Other layouts may have it begin a little earlier or later, but it is on the air at the same time.
      const overlap = (one: BurstRecord) =>
        Math.min(one.atSeconds + one.durationSeconds, atSeconds + durationSeconds) - Math.max(one.atSeconds, atSeconds);
      const best = all.reduce<BurstRecord | undefined>((a, b) => (a && overlap(a) >= overlap(b) ? a : b), undefined);
      return best && overlap(best) > 0 ? best.index : null;
    },
  };
}

function toldOf(path: string, { type, rateHz, carrierHz }: StudyInput["hints"] = {}): Whereabouts["inPlaceTold"] {
  const asks = asksOf(path);
  return {
    ...(asks === "type and rate" && type !== undefined ? { type } : {}),
    ...(asks === "type and rate" && rateHz !== undefined ? { rate: rateHz } : {}),
    ...(asks !== "nothing" && carrierHz !== undefined ? { carrier: carrierHz } : {}),
  };
}

function once<T>(kept: Map<string, Promise<T>>, key: string, ask: () => Promise<T>): Promise<T> {
  const before = kept.get(key);
  if (before !== undefined) return before;
  const asked = ask();
  kept.set(key, asked);
  return asked;
}
