import type { MeasuresBody, TimingBody } from "../../../server/http/wire.ts";
import { figure, frequencyShown, inLine, offsetShown, signed } from "../quantities.ts";
import { durationWords } from "./measure.ts";

/** One measure of a burst for reading. */
export interface MeasureRow {
  readonly name: string;
  /** With its unit; why there is none, where there is none. */
  readonly value: string;
  /** What it is held against, or a word on how it was measured. */
  readonly remark: string;
}

/** What was measured of a burst, each with what it is held against. */
export function measureRows(body: MeasuresBody, sampleRateHz: number): MeasureRow[] {
  const told = (key: string, value: number | null, words: (value: number) => string) =>
    value === null ? `not told: ${body.because[key] ?? "it could not be measured"}` : words(value);
  const remarkOf = (key: string, value: unknown, otherwise = "") =>
    (value === null ? undefined : body.because[key]) ?? otherwise;
  const nominal = body.nominalCarrierHz;
  const layout = body.layout ?? "no layout";
  const kHz = (hz: number, decimals = 1) => `${figure(hz / 1000, decimals)}\u202fkHz`;
  return [
    {
      name: "Carrier",
      value: told("carrierHz", body.carrierHz, (hz) => inLine(frequencyShown(hz, 4))),
      remark: remarkOf(
        "carrierHz",
        body.carrierHz,
        body.carrierSigmaHz === null ? "" : `one standard deviation ${figure(body.carrierSigmaHz, 0)}\u202fHz`,
      ),
    },
    {
      name: "Carrier error",
      value:
        body.carrierOffsetHz === null || body.carrierOffsetPpm === null
          ? told("carrierOffsetHz", null, String)
          : `${signed(body.carrierOffsetHz, 0)}\u202fHz, ${signed(body.carrierOffsetPpm, 1)}\u202fppm`,
      remark: nominal === null ? "" : `of ${inLine(frequencyShown(nominal, 3))}, the nearest carrier on the shelf`,
    },
    {
      name: "Keying",
      value: body.modulation === null ? "not made out" : body.modulation.toUpperCase(),
      remark: remarkOf("modulation", body.modulation),
    },
    ...(body.modulation === "ask"
      ? []
      : [
          {
            name: "Deviation",
            value: told("deviationHz", body.deviationHz, (hz) => `±\u202f${kHz(hz, 2)}`),
            remark:
              body.deviationErrorPercent === null || body.nominalDeviationHz === null
                ? remarkOf("deviationHz", body.deviationHz)
                : `${signed(body.deviationErrorPercent, 1)}\u202f% of ${kHz(body.nominalDeviationHz)} in ${layout}`,
          },
        ]),
    {
      name: "Symbol rate",
      value: told("symbolRate", body.symbolRate, (rate) => `${figure(rate, 1)}\u202f/s`),
      remark:
        body.symbolRateErrorPercent === null || body.nominalSymbolRate === null
          ? remarkOf("symbolRate", body.symbolRate)
          : `${signed(body.symbolRateErrorPercent, 3)}\u202f% of ${figure(body.nominalSymbolRate, 0)} in ${layout}; 3\u202f% is allowed`,
    },
    {
      name: "Level",
      value: told("levelDbfs", body.levelDbfs, (level) => `${figure(level, 1)}\u202fdBFS`),
      remark:
        body.snrDb === null ? remarkOf("levelDbfs", body.levelDbfs) : `${figure(body.snrDb, 1)}\u202fdB over the noise`,
    },
    {
      name: "Rise and fall",
      value: `${told("riseSeconds", body.riseSeconds, (s) => durationWords(s, sampleRateHz))}; ${told("fallSeconds", body.fallSeconds, (s) => durationWords(s, sampleRateHz))}`,
      remark: `10 to 90\u202f% of the amplitude; ${durationWords(body.edgeResolutionSeconds, sampleRateHz)} is the shortest that this rate shows`,
    },
    {
      name: "Drift",
      value: told("driftHz", body.driftHz, (hz) => `${signed(hz, 0)}\u202fHz over the burst`),
      remark:
        body.driftHzPerSecond === null || body.driftSigmaHzPerSecond === null
          ? remarkOf("driftHz", body.driftHz)
          : `${signed(body.driftHzPerSecond / 1000, 2)}\u202f±\u202f${figure(body.driftSigmaHzPerSecond / 1000, 2)}\u202fkHz a second`,
    },
    {
      name: "Occupied bandwidth",
      value: told("occupiedHz", body.occupiedHz, (hz) => kHz(hz)),
      remark: "99\u202f% of the power, 47 CFR 2.202",
    },
    {
      name: "Length",
      value: durationWords(body.durationSeconds, sampleRateHz),
      remark: body.clippedShare > 0 ? `${figure(100 * body.clippedShare, 1)}\u202f% of it at the receiver's limit` : "",
    },
  ];
}

/** The measures of a burst in a sentence. */
export function measuresSentence(body: MeasuresBody): string {
  if (body.carrierHz === null) return "Nothing much could be measured of this stretch";
  const carrier = `Sent on ${inLine(frequencyShown(body.carrierHz, 3))}`;
  if (body.carrierOffsetHz === null || body.nominalCarrierHz === null)
    return `${carrier}, near no carrier on the shelf`;
  const off = inLine(offsetShown(body.carrierOffsetHz));
  return `${carrier}, ${off} off ${inLine(frequencyShown(body.nominalCarrierHz))}`;
}

/** How often a sensor sent, held against each rule. */
export function timingRows(body: TimingBody): MeasureRow[] {
  return body.sensors.flatMap((sensor) => [
    {
      name: "Repeats every",
      value:
        sensor.repeatSeconds === null ? "not told: it sent once here" : `${figure(sensor.repeatSeconds, 2)}\u202fs`,
      remark: `${figure(1000 * sensor.onAirSeconds, 1)}\u202fms on air in all, ${figure(100 * sensor.onShare, 2)}\u202f% of the recording`,
    },
    ...sensor.rules.map((rule) => ({
      name: RULE_NAMES[rule.id],
      value: sentenceOf(rule.verdict),
      remark: `${rule.says} ${rule.rule} ${rule.source} (${rule.status})`,
    })),
  ]);
}

const RULE_NAMES: Readonly<Record<TimingBody["sensors"][number]["rules"][number]["id"], string>> = {
  "fcc-on-time": "Longest transmission, 47 CFR 15.231(e)",
  "fcc-silence": "Silence between, 47 CFR 15.231(e)",
  "srd-duty": "Share of an hour, 433\u202fMHz band",
};

function sentenceOf(verdict: string): string {
  return verdict.charAt(0).toUpperCase() + verdict.slice(1);
}
