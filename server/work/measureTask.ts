import { framePlan } from "../../decoders/frames/frameChecks.ts";
import { bandLimited } from "../../decoders/measures/bandLimited.ts";
import { burstMeasures } from "../../decoders/measures/burstMeasures.ts";
import { clockSymbols, frameSymbols } from "../../decoders/measures/burstSymbols.ts";
import { edgesOf, nearestEdge } from "../../decoders/measures/edges.ts";
import { frequencyColumns } from "../../decoders/measures/frequencyColumns.ts";
import { type Cutout, hearAgain } from "../../decoders/measures/hearAgain.ts";
import { powerSpectrum } from "../../decoders/measures/powerSpectrum.ts";
import { quietDensity } from "../../decoders/measures/quietDensity.ts";
import { stretchMeasures } from "../../decoders/measures/stretchMeasures.ts";
import { createFfts } from "../../decoders/signal/fft.ts";
import { bytesPerSample, toFloats } from "../../decoders/signal/samples.ts";
import { readSamples } from "../recordings/readSamples.ts";
import type { Cut, MeasureAnswer, MeasureQuestion, QuestionOf } from "./measureQuestions.ts";
import type { OrderOf, RunningTask, Say } from "./task.ts";

/** One question about the samples of a recording. */
export function measureTask({ question }: OrderOf<"measure">, say: Say): RunningTask {
  return { take: () => undefined, until: answer() };

  async function answer(): Promise<void> {
    const { path, fromByte, sampleType, fromSample, toSample } = question.cut;
    const bytes = await readSamples(path, fromByte, sampleType, fromSample, toSample);
    say({ kind: "measured", answer: measured(question, bytes) });
  }
}

const ffts = createFfts();

function measured(question: MeasureQuestion, bytes: Uint8Array): MeasureAnswer {
  const { cut } = question;
  switch (question.kind) {
    case "frequency":
      return frequencyOf(question, floatsOf(cut, bytes));
    case "edge":
      return edgeOf(question, floatsOf(cut, bytes));
    case "burst":
      return burstOf(question, bytes);
    case "stretch":
      return stretchOf(cut, bytes);
    case "spectrum":
      return powerSpectrum(floatsOf(cut, bytes), cut.sampleRateHz, question.lines, ffts);
    case "symbols":
      return symbolsOf(question, bytes);
  }
}

function frequencyOf({ cut, band, fromSample, toSample, columns }: QuestionOf<"frequency">, iq: Float32Array) {
  const noise = quietDensity(iq, cut.sampleRateHz, ffts);
  const signal = bandLimited(iq, cut.sampleRateHz, band.lowHz, band.highHz, ffts);
  return frequencyColumns(signal, fromSample - cut.fromSample, toSample - cut.fromSample, columns, noise);
}

function edgeOf({ cut, band, atSample, reachSamples, ...hints }: QuestionOf<"edge">, iq: Float32Array) {
  const noiseDensity = quietDensity(iq, cut.sampleRateHz, ffts);
  const signal = bandLimited(iq, cut.sampleRateHz, band.lowHz, band.highHz, ffts);
  const edge = nearestEdge(edgesOf(signal, { ...hints, noiseDensity }), atSample - cut.fromSample, reachSamples);
  return edge && { ...edge, at: cut.fromSample + edge.at };
}

function burstOf({ cut, sought, layout, layouts }: QuestionOf<"burst">, bytes: Uint8Array) {
  const plan = layout && framePlan(layout);
  const look = hearAgain(cutoutOf(cut, bytes), sought, plan ? [plan] : layouts.map(framePlan), ffts);
  return look && burstMeasures(look, floatsOf(cut, bytes), cut.fromSample, plan, layouts);
}

function symbolsOf({ cut, sought, layout, bits }: QuestionOf<"symbols">, bytes: Uint8Array) {
  const plan = layout && framePlan(layout);
  const look = hearAgain(cutoutOf(cut, bytes), sought, plan ? [plan] : [], ffts);
  return look && ((plan && frameSymbols(look, plan, bits)) ?? clockSymbols(look));
}

function stretchOf({ sampleType, sampleRateHz }: Cut, bytes: Uint8Array) {
  const floats = new Float32Array((2 * bytes.length) / bytesPerSample(sampleType));
  const clipped = toFloats(sampleType, bytes, floats);
  return stretchMeasures(floats, sampleRateHz, clipped, ffts);
}

function cutoutOf({ sampleType, sampleRateHz, centreHz, fromSample }: Cut, bytes: Uint8Array): Cutout {
  return { sampleType, bytes, sampleRateHz, centreHz, firstSample: fromSample };
}

function floatsOf({ sampleType, fromSample, toSample }: Cut, bytes: Uint8Array): Float32Array {
  const floats = new Float32Array(2 * (toSample - fromSample));
  toFloats(sampleType, bytes, floats);
  return floats;
}
