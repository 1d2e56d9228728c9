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
  const running = new Map<string, Running>();
  /** By lot: what was asked for is done one after the other, else of two starts at once one could not be stopped. */
  const turns = new Map<string, Promise<unknown>>();
  let isClosed = false;

  function inTurn<T>(lotId: string, work: () => Promise<T>): Promise<T> {
    const done = (turns.get(lotId) ?? Promise.resolve()).then(work, work);
    turns.set(lotId, done);
    return done;
  }

  async function stopNow(lotId: string): Promise<boolean> {
    const one = running.get(lotId);
    running.delete(lotId);
    await one?.link.stop();
    return one !== undefined;
  }

  function startNow(lotId: string, path: string, baudRate: number, unit: PressureUnit): void {
    let state: GaugeState = { path, state: "connecting", says: "", lastKpa: null, lastAt: null };
    let kept: { readonly kpa: number; readonly ms: number } | undefined;
    const isRunning = () => running.get(lotId)?.link === link;
    const take = async (text: string) => {
      const kpa = gaugeLine(text, unit);
      // What was on its way when it was stopped is not the next one's.
      if (kpa === undefined || !isRunning()) return;
      const at = stamp();
      state = { ...state, lastKpa: kpa, lastAt: at };
      const ms = now();
      if (kept && ms - kept.ms < KEEP_EVERY_MS && Math.abs(kpa - kept.kpa) < MOVED_KPA) return;
      kept = { kpa, ms };
      const reading: GaugeReading = { source: path, at, kpa, temperatureC: null };
      await store.keepGauge(lotId, [reading]);
      onReading(lotId);
    };
    const say = (next: LinkState, says: string) => {
      state = { ...state, ...told(next, says) };
    };
    const link = serialLink({ open: () => intakeOf(take), say, now }, path, baudRate);
    running.set(lotId, { link, state: () => state });
  }

  return {
    start: (lotId, path, baudRate, unit) =>
      inTurn(lotId, async () => {
        await stopNow(lotId);
        if (!isClosed) startNow(lotId, path, baudRate, unit);
      }),
    stop: (lotId) => inTurn(lotId, () => stopNow(lotId)),
    stateOf: (lotId) => running.get(lotId)?.state() ?? null,
    async close() {
      isClosed = true;
      for (const lotId of [...turns.keys()]) await inTurn(lotId, () => stopNow(lotId));
    },
  };
}

interface Running {
  readonly link: Link;
  readonly state: () => GaugeState;
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
        if (line.number > 1 && line.kind === "line") await take(Buffer.from(line.bytes).toString("utf8"));
      }
    },
    end: () => Promise.resolve(),
  };
}
