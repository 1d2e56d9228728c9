import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { Link, LinkSettings } from "../../../decoders/radio/link.ts";
import { BANDS } from "../../../decoders/radio/link.ts";
import { receiverNoiseDbm } from "../../../decoders/radio/noise.ts";
import { KEYINGS } from "../../../decoders/radio/telegram.ts";
import type { ScenarioFile } from "../../../seeds/scenario-shape.ts";

/** Of a recording; a telegram takes about 15 ms of the time that each has. */
const SAMPLE_RATE_HZ = 250_000;
const LEAD_SECONDS = 0.15;
const EACH_SECONDS = 0.2;
/** So low that the loudest telegram and interferer together stay under full scale. */
const NOISE_DBFS = -70;
/** Beyond these a recording tells nothing more. */
const EB_N0_DB = [-30, 70] as const;
/** As a real sensor is: not quite where it should be. */
const OFFSET_HZ = 2_000;
const CLOCK_PPM = 40;
const BAND_SENSOR = "7c31b0de";

/** One recording of so many telegrams, made with the Eb/N0 of a link. */
export interface BandScenario {
  readonly scenario: ScenarioFile;
  readonly madeEbN0Db: number;
}

/**
 * The telegrams of one band as a scenario: noise, the sensor, and the interferer where the receiver takes it in. A
 * receiver that is set to the other band records there, so that the sensor is sent outside of what it hears.
 */
export function bandScenario(link: Link, settings: LinkSettings, telegrams: number, seed: number): BandScenario {
  const madeEbN0Db = Math.min(EB_N0_DB[1], Math.max(EB_N0_DB[0], link.quietEbN0Db));
  const durationSeconds = LEAD_SECONDS + telegrams * EACH_SECONDS;
  const layout = bandLayout(settings);
  const { interfererDbm } = link;
  const scenario: ScenarioFile = {
    title: `Telegrams at ${link.carrierHz / 1e6} MHz for a class`,
    seed,
    durationSeconds,
    startsAt: "2026-03-02T08:15:00Z",
    receiver: {
      name: "class",
      sampleRateHz: SAMPLE_RATE_HZ,
      sampleType: "ci16_le",
      noiseDbfs: NOISE_DBFS,
      tunings: [{ fromSeconds: 0, carrierHz: link.tunedHz }],
    },
    layouts: [{ layout }],
    sensors: [
      {
        name: "wheel",
        layout: layout.id,
        identity: BAND_SENSOR,
        pressureKpa: [{ atSeconds: 0, kPa: 230 }],
        temperatureC: [{ atSeconds: 0, degC: 20 }],
        carrierHz: link.carrierHz,
        offsetHz: OFFSET_HZ,
        clockPpm: CLOCK_PPM,
        level: { ebN0Db: madeEbN0Db },
        sends: Array.from({ length: telegrams }, (_, i) => ({
          atSeconds: LEAD_SECONDS + i * EACH_SECONDS,
          values: { count: i },
        })),
      },
    ],
    ...(interfererDbm === undefined
      ? {}
      : {
          events: [
            {
              kind: "steady-carrier" as const,
              carrierHz: link.tunedHz + 1000 * settings.interfererOffsetKhz,
              dbfs: NOISE_DBFS + interfererDbm - receiverNoiseDbm(SAMPLE_RATE_HZ, settings.noiseFigureDb),
              fromSeconds: 0,
              toSeconds: durationSeconds,
            },
          ],
        }),
    outputs: ["recording"],
  };
  return { scenario, madeEbN0Db };
}

/** The same frame at both carriers; whitened where a symbol is a bit, so that both symbols are alike often. */
function bandLayout({ keying }: LinkSettings): Layout {
  const { modulation, lineCode, symbolRate, deviationHz, bits } = KEYINGS[keying];
  return {
    id: `two-bands-${keying}`,
    title: "The same telegram at 315.00 and 433.92 MHz",
    notes: "Invented for the class.",
    origin: "invented",
    carrierHz: Object.values(BANDS),
    modulation,
    ...(deviationHz === undefined ? {} : { deviationHz }),
    symbolRate,
    lineCode,
    preamble: { symbols: "10", repeat: 16 },
    sync: { symbols: lineCode === "nrz" ? "110100111001000101101110" : "1110001011100010" },
    bits,
    ...(lineCode === "nrz" ? { whitening: { poly: "0x211", seed: "0x1ff", reversedBytes: true } } : {}),
    fields: [
      { name: "sensor", at: 0, bits: 32, type: "identity" },
      { name: "count", at: 32, bits: 8, type: "unsigned", quantity: "count", means: "counter" },
      {
        name: "pressure",
        at: 40,
        bits: 8,
        type: "unsigned",
        quantity: "pressure",
        unit: "kPa",
        scale: 2.5,
        offset: 0,
        reference: "absolute",
        plausible: [90, 600],
      },
      {
        name: "temperature",
        at: 48,
        bits: 8,
        type: "unsigned",
        quantity: "temperature",
        unit: "degC",
        scale: 1,
        offset: -50,
        plausible: [-40, 125],
      },
      { name: "spin", at: 56, bits: 8, type: "signed", quantity: "acceleration", unit: "m/s2", scale: 4, offset: 0 },
    ],
    checks: [
      {
        kind: "crc",
        width: 16,
        poly: "0x1021",
        init: "0xffff",
        refin: false,
        refout: false,
        xorout: "0x0000",
        covers: [[0, 64]],
        at: 64,
      },
    ],
  };
}
