import { firstMissed } from "../../../decoders/ladder/rungs.ts";
import { type LinkSettings, type LinkWithErrors, linksOf } from "../../../decoders/radio/link.ts";
import type { BurstRecord, Rung, RungName, SummaryRecord, TelegramRecord } from "../../../decoders/records.ts";
import { clopperPearson } from "../../bench/statistics/proportion.ts";
import type { BandTriedBody } from "../wire/bands.ts";
import type { Air } from "./air.ts";
import type { AirResult } from "./airTask.ts";
import { bandScenario } from "./bandScenario.ts";

const CONFIDENCE = 0.95;
/** A frame is taken for a sent one when it begins no farther from it. */
const NEAR_SECONDS = 0.05;

/** Both bands sent, recorded and decoded, each by its own link. */
export async function tryBands(
  air: Pick<Air, "play">,
  settings: LinkSettings,
  telegrams: number,
  seed: number,
): Promise<BandTriedBody[]> {
  return Promise.all(
    linksOf(settings).map(async (link, i) => {
      // Another chance for each band, or both would have the same noise.
      const { scenario, madeEbN0Db } = bandScenario(link, settings, telegrams, (seed + i) | 0);
      return tried(link, madeEbN0Db, telegrams, await air.play({ scenario }));
    }),
  );
}

function tried(link: LinkWithErrors, madeEbN0Db: number, sent: number, { records, truth }: AirResult): BandTriedBody {
  const bursts = records.filter((record) => record.kind === "burst");
  const telegrams = records.filter((record) => record.kind === "telegram");
  const summary = records.find((record) => record.kind === "summary");
  const found = truth.telegrams.map((one) => telegrams.filter((told) => isIt(told, one)));
  const read = found.filter((told) => told.length > 0).length;
  const withoutRepair = found.filter((told) => told.some(({ repairedBits }) => repairedBits === 0)).length;
  const missed = [
    ...truth.telegrams.filter((_, i) => found[i]!.length === 0).map(({ atSeconds }) => missedAt(atSeconds, bursts)),
    ...truth.unheard.map(() => missedInAll(summary)),
  ];
  return {
    band: link.band,
    carrierHz: link.carrierHz,
    tunedHz: link.tunedHz,
    snrDb: link.snrDb,
    ebN0Db: link.ebN0Db,
    madeEbN0Db,
    expected: { bitError: link.bitError, share: link.success },
    sent,
    read: { count: read, ...clopperPearson(read, sent, CONFIDENCE) },
    withoutRepair: { count: withoutRepair, ...clopperPearson(withoutRepair, sent, CONFIDENCE) },
    missed: counted(missed),
    interferersFound: summary?.interferers.length ?? 0,
  };
}

function isIt(told: TelegramRecord, sent: { readonly atSeconds: number; readonly bits: string }): boolean {
  return told.verified && told.bits === sent.bits && Math.abs(told.atSeconds - sent.atSeconds) <= NEAR_SECONDS;
}

interface Missed {
  readonly rung: RungName;
  readonly because: string;
}

/** The rung at which what was heard of a telegram ended. */
function missedAt(atSeconds: number, bursts: readonly BurstRecord[]): Missed {
  const heard = bursts.filter((burst) => Math.abs(burst.atSeconds - atSeconds) <= NEAR_SECONDS);
  const misses = heard.flatMap(({ rungs }) => missOf(rungs) ?? []);
  return misses[0] ?? { rung: "burst", because: "Nothing rose over the noise when it was sent." };
}

/** Of a telegram that never came into the recording: what is said of the whole. */
function missedInAll(summary: SummaryRecord | undefined): Missed {
  return missOf(summary?.rungs ?? []) ?? { rung: "burst", because: "Nothing of it is in the recording." };
}

function missOf(rungs: readonly Rung[]): Missed | undefined {
  const name = firstMissed(rungs);
  const rung = rungs.find((one) => one.rung === name);
  return rung && { rung: rung.rung, because: rung.because };
}

function counted(missed: readonly Missed[]): BandTriedBody["missed"] {
  const rungs = [...new Set(missed.map(({ rung }) => rung))];
  return rungs.map((rung) => {
    const these = missed.filter((one) => one.rung === rung);
    return { rung, count: these.length, because: these[0]!.because };
  });
}
