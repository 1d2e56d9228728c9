import { readFile } from "node:fs/promises";
import { join } from "node:path";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { parseGaugeLog } from "../../decoders/workshop/gaugeLog.ts";
import { shortId } from "../jobs/shortId.ts";
import type { Store } from "../store/store.ts";
import { emptyLot, type Lot } from "./lot.ts";
import { workOut } from "./workOut.ts";
import { written } from "./written.ts";

/** The recording that the sample lot is about; its gauge's log and the wakes of its receiver lie beside it. */
const SAMPLE = "box-of-twenty";
export const LOT_RECORDING = `${SAMPLE}.sigmf-meta`;

/**
 * Puts a finished lot into a new store: twenty sensors of a delivery against a gauge, as a first start shows it. Who was
 * heard in it is written down.
 *
 * @param hash Of its recording, which is analysed.
 * @param samplesDir Where the gauge's log lies.
 */
export async function addSampleLot(
  store: Pick<Store, "lots" | "lot" | "addLot" | "putGauge" | "telegramsOf" | "burstsOf" | "recording">,
  hash: string,
  samplesDir: string,
  at: string,
  random: () => number,
): Promise<void> {
  if ((await store.lots()).some(({ sample }) => sample)) return; // an earlier start was cut short after this
  const log = parseGaugeLog(await readFile(join(samplesDir, `${SAMPLE}.gauge.csv`), "utf8"), undefined);
  if (!log.ok) throw new RangeError(`${SAMPLE}.gauge.csv, line ${log.line}: found ${log.found}`);
  const wakes = wakesIn(await readFile(join(samplesDir, `${SAMPLE}.ndjson`), "utf8"));
  let id = shortId(random);
  for (let draw = 0; draw < 100 && (await store.lot(id)); draw++) id = shortId(random);
  const entries: Lot = { ...sampleEntries(), wakes, recordingHashes: [hash] };
  const beganMs = Date.parse((await store.recording(hash))?.startedAt ?? at);
  const bursts = await store.burstsOf(hash);
  const worked = workOut(entries, {
    telegrams: await store.telegramsOf(hash),
    bursts: bursts.map((burst) => ({
      at: new Date(beganMs + 1000 * burst.atSeconds).toISOString(),
      on: { recordingHash: hash },
      burst,
    })),
    layouts: builtinLayouts,
    wakes: [],
    gauge: [],
    earlier: () => undefined,
    golden: null,
    lotId: id,
    nowMs: Date.parse(at),
  });
  const body = written(entries, worked);
  await store.addLot({ id, revision: 1, createdAt: at, changedAt: at, sample: true, body });
  await store.putGauge(
    id,
    `${SAMPLE}.gauge.csv`,
    log.readings.map(({ atSeconds, kPa, degC }) => ({
      at: new Date(1000 * atSeconds).toISOString(),
      kpa: kPa ?? null,
      temperatureC: degC ?? null,
    })),
  );
}

/** As a buyer of an invented workshop wrote it down. */
export function sampleEntries(): Lot {
  const lot = emptyLot();
  return {
    ...lot,
    title: "Box of twenty",
    supplier: "Saltmarsh Parts, Port Merrow",
    part: "SP-20, spare part for ice lorries",
    quantity: 500,
    sample: 20,
    drawn: "One from each of twenty cartons, by drawn numbers.",
    limits: {
      ...lot.limits,
      pressureKpa: 7,
      temperatureC: 3,
      carrierHz: 433_920_000,
      carrierOff: 8000,
      symbolRate: 20_000,
      symbolRateOffPercent: 1,
      levelDb: 10,
      wakeSeconds: 2,
      telegramsPerWakeLeast: 1,
      identity: "5e1?????",
      layout: "ice-lorry",
      batteryGood: true,
    },
    gauge: {
      ...lot.gauge,
      name: "Bench gauge 4",
      errorKpa: 1,
      resolutionKpa: 0.1,
      calibratedOn: "2026-01-10",
      temperatureErrorC: 0.5,
      temperatureResolutionC: 0.1,
    },
    plan: { ...lot.plan, accept: 1 },
    fixture: {
      ...lot.fixture,
      kind: "plastic pot",
      ratedKpa: 600,
      carrierErrorPpm: 2.5,
      notes: "Antenna 0.3 m beside the pot.",
      distanceM: 0.3,
    },
    golden: null,
    testedBy: "the bench of the net loft",
  };
}

/** The wakes that the receiver told of, by the numbers at which the wake-up field was held. */
function wakesIn(lines: string): Lot["wakes"] {
  return lines
    .split("\n")
    .filter((line) => line.includes('"type":"wake"'))
    .map((line) => {
      const { at, position } = JSON.parse(line);
      return { number: Number(position), at };
    });
}
