import type { PressureUnit } from "../../decoders/units.ts";
import type { GaugeReading, Store } from "../store/store.ts";
import { gaugeLine } from "./gaugeLine.ts";
import type { Intake } from "./intake.ts";
import { lineSplitter } from "./lines.ts";
import type { Link, LinkState } from "./link.ts";
import { serialLink } from "./serialLink.ts";

/** A gauge on a serial port that is read for a lot. */
export interface GaugeState {
  readonly path: string;
  readonly state: "connecting" | "listening" | "away";
  readonly says: string;
  readonly lastKpa: number | null;
  readonly lastAt: string | null;
}

/** Gauges that tell by themselves; each is read for one lot. */
export interface Gauges {
  /** Takes the place of the one before. */
  readonly start: (lotId: string, path: string, baudRate: number, unit: PressureUnit) => Promise<void>;
  readonly stop: (lotId: string) => Promise<boolean>;
  readonly stateOf: (lotId: string) => GaugeState | null;
  readonly close: () => Promise<void>;
}

const MOST_LINE_BYTES = 400;
/** One reading in so long is kept, and any that moved. */
const KEEP_EVERY_MS = 1000;
const MOVED_KPA = 0.05;

/** @param onReading After a reading was kept. */
export function createGauges(
  store: Pick<Store, "keepGauge">,
  {
    now,
    stamp,
    onReading,
  }: {
    readonly now: () => number;
    readonly stamp: () => string;
    readonly onReading: (lotId: string) => void;
  },
): Gauges {
  const running = new Map<string, { readonly link: Link; state: GaugeState }>();

  async function stop(lotId: string): Promise<boolean> {
    const one = running.get(lotId);
    running.delete(lotId);
    await one?.link.stop();
    return one !== undefined;
  }

  return {
    async start(lotId, path, baudRate, unit) {
      await stop(lotId);
      let state: GaugeState = { path, state: "connecting", says: "", lastKpa: null, lastAt: null };
      let kept: { readonly kpa: number; readonly ms: number } | undefined;
      const change = (by: Partial<GaugeState>) => {
        state = { ...state, ...by };
        const one = running.get(lotId);
        if (one) one.state = state;
      };
      const take = async (text: string) => {
        const kpa = gaugeLine(text, unit);
        if (kpa === undefined) return;
        const at = stamp();
        change({ lastKpa: kpa, lastAt: at });
        const ms = now();
        if (kept && ms - kept.ms < KEEP_EVERY_MS && Math.abs(kpa - kept.kpa) < MOVED_KPA) return;
        kept = { kpa, ms };
        const reading: GaugeReading = { source: path, at, kpa, temperatureC: null };
        await store.keepGauge(lotId, [reading]);
        onReading(lotId);
      };
      const link = serialLink(
        { open: () => intakeOf(take), say: (next, says) => change(told(next, says)), now },
        path,
        baudRate,
      );
      running.set(lotId, { link, state });
    },
    stop,
    stateOf: (lotId) => running.get(lotId)?.state ?? null,
    async close() {
      for (const lotId of [...running.keys()]) await stop(lotId);
    },
  };
}

function told(state: LinkState, says: string): Pick<GaugeState, "state" | "says"> {
  return { state: state === "stopped" ? "away" : state, says };
}

function intakeOf(take: (text: string) => Promise<void>): Intake {
  const splitter = lineSplitter(MOST_LINE_BYTES);
  return {
    async push(bytes) {
      for (const line of splitter.push(bytes)) {
        // The first one may have lost its beginning: 30.4 is no 230.4. So may half a line at the end, which is dropped.
        if (line.number > 1 && line.kind === "line") await take(Buffer.from(line.bytes).toString("latin1"));
      }
    },
    end: () => Promise.resolve(),
  };
}
