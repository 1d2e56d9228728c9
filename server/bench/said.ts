import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, TelegramRecord } from "../../decoders/records.ts";
import { kpaFrom } from "../../decoders/units.ts";
import { type Reading, readingOf } from "../jobs/reading.ts";
import type { HeardOn, StoredTelegram } from "../store/store.ts";
import { oneOfEach, type SaidBySource } from "./sources.ts";

/** A burst of a lot's receivers or recordings, and when it came. */
export interface LotBurst {
  readonly at: string;
  readonly on: HeardOn;
  readonly burst: BurstRecord;
}

/** One telegram as the bench sees it. */
export interface Said {
  readonly id: string;
  /** Milliseconds since 1970. */
  readonly atMs: number;
  /** Lower-case. */
  readonly identity: string;
  readonly layout: string;
  readonly kpa: number | null;
  /** One count of its pressure. */
  readonly stepKpa: number | null;
  /** Whether the air outside was taken off an absolute reading. */
  readonly absolute: boolean;
  readonly temperatureC: number | null;
  /** One count of its temperature. */
  readonly stepC: number | null;
  readonly battery: Reading["battery"];
  readonly carrierHz: number;
  readonly deviationHz: number | null;
  readonly symbolRate: number | null;
  /** In dBFS where samples were kept, else over the noise: only differences count. */
  readonly levelDb: number | null;
  readonly levelIs: "dBFS" | "over the noise" | null;
  /** The receiver or recording that heard it, and measured what is told here. */
  readonly source: string;
  /** What others measured that heard the same telegram. */
  readonly alsoOn: readonly { readonly source: string; readonly carrierHz: number }[];
  readonly recording: { readonly hash: string; readonly index: number } | null;
}

/** Of one start: its telegram tells the same moment, but for what rounding to microseconds takes. */
const SAME_MS = 1;

/**
 * The verified telegrams in order of time, each once and with what its first burst measured.
 *
 * @param ambientKpa Of the air outside; `null`: the standard atmosphere at sea level.
 */
export function saidBy(
  telegrams: readonly StoredTelegram[],
  bursts: readonly LotBurst[],
  layouts: readonly Layout[],
  ambientKpa: number | null,
): readonly Said[] {
  const layoutOf = new Map(layouts.map((layout) => [layout.id, layout]));
  const burstOf = burstFinder(bursts);
  const all = telegrams.flatMap((stored): SaidBySource[] => {
    const { id, at, on, identity, telegram } = stored;
    if (identity === null || !telegram.verified) return [];
    const layout = layoutOf.get(telegram.layout);
    const reading = readingOf(telegram, layout, ambientKpa);
    const burst = burstOf(stored);
    const levelDb = burst?.levelDbfs ?? telegram.snrDb;
    const said: Said = {
      id,
      atMs: Date.parse(at),
      identity: identity.toLowerCase(),
      layout: telegram.layout,
      kpa: reading.gaugeKpa,
      stepKpa: stepOf(layout),
      absolute: reading.ambientKpa !== null,
      temperatureC: reading.temperatureC,
      stepC: stepCOf(layout),
      battery: reading.battery,
      carrierHz: telegram.carrierHz,
      deviationHz: burst?.deviationHz ?? null,
      symbolRate: burst?.symbolRate ?? null,
      levelDb,
      levelIs: levelDb === null ? null : burst?.levelDbfs == null ? "over the noise" : "dBFS",
      source: "recordingHash" in on ? `recording ${on.recordingHash}` : `receiver ${on.receiverId}`,
      alsoOn: [],
      recording: "recordingHash" in on ? { hash: on.recordingHash, index: telegram.burst } : null,
    };
    return [{ said, says: saysOf(said, telegram) }];
  });
  return oneOfEach(all);
}

function saysOf({ identity, layout }: Said, { fields }: TelegramRecord): string {
  const values = Object.entries(fields).map(([name, { raw }]) => `${name}=${raw}`);
  return [layout, identity, ...values.sort()].join(" ");
}

/** By recording and index, else by receiver and moment. */
function burstFinder(bursts: readonly LotBurst[]): (stored: StoredTelegram) => BurstRecord | undefined {
  const byIndex = new Map<string, BurstRecord>();
  const byMoment = new Map<string, BurstRecord>();
  for (const { at, on, burst } of bursts) {
    if ("recordingHash" in on) byIndex.set(`${on.recordingHash} ${burst.index}`, burst);
    else byMoment.set(`${on.receiverId} ${Math.round(Date.parse(at) / SAME_MS)}`, burst);
  }
  return ({ on, at, telegram }) => {
    if ("recordingHash" in on) return byIndex.get(`${on.recordingHash} ${telegram.burst}`);
    const moment = Math.round(Date.parse(at) / SAME_MS);
    for (const near of [moment, moment - 1, moment + 1]) {
      const found = byMoment.get(`${on.receiverId} ${near}`);
      if (found) return found;
    }
    return undefined;
  };
}

function stepOf(layout: Layout | undefined): number | null {
  const field = layout?.fields.find(({ quantity }) => quantity === "pressure");
  const unit = field?.unit;
  if (unit !== "kPa" && unit !== "psi" && unit !== "bar") return null;
  return kpaFrom(Math.abs(field?.scale ?? 1), unit);
}

function stepCOf(layout: Layout | undefined): number | null {
  const field = layout?.fields.find(({ quantity }) => quantity === "temperature");
  if (!field) return null;
  return Math.abs(field.scale ?? 1) / (field.unit === "degF" ? 1.8 : 1);
}
