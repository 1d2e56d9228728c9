import { describe, expect, it } from "vitest";
import { bandLimited } from "../../decoders/measures/bandLimited.ts";
import { type Edge, edgesOf, edgesSeen, nearestEdge } from "../../decoders/measures/edges.ts";
import { keyedBand } from "../../decoders/measures/keyedBand.ts";
import { quietDensity } from "../../decoders/measures/quietDensity.ts";
import { createFfts } from "../../decoders/signal/fft.ts";
import {
  captureAt,
  type SampleRecording,
  type SentCopy,
  sampleNames,
  sampleRecording,
} from "../support/sent-copies.ts";

// Every edge of every clean copy in every sample, against the moment at which the modulator put it on air: start and
// clock come from the scenario, unrounded, not from the truth file, which rounds to a nanosecond.

const ffts = createFfts();

interface SentEdge {
  readonly at: number;
  readonly kind: string;
}

function sentEdges({ copy, firstSample, symbolSamples }: SentCopy): SentEdge[] {
  const { symbols, layout } = copy;
  const edges: SentEdge[] = [];
  for (let j = 0; j <= symbols.length; j++) {
    const at = firstSample + j * symbolSamples;
    const before = symbols[j - 1];
    const after = symbols[j];
    if (layout.modulation === "ask") {
      if ((before ?? 0) !== (after ?? 0)) edges.push({ at, kind: after === 1 ? "level rises" : "level falls" });
    } else if (before === undefined) edges.push({ at, kind: "burst begins" });
    else if (after === undefined) edges.push({ at, kind: "burst ends" });
    else if (before !== after) edges.push({ at, kind: after === 1 ? "tone rises" : "tone falls" });
  }
  return edges;
}

/** What is seen of a copy, as the server looks for it. */
function seenEdges(recording: SampleRecording, sent: SentCopy, look: typeof edgesOf): Edge[] {
  const { sampleRateHz, iq } = recording;
  const { layout, symbols } = sent.copy;
  const margin = 0.005 * sampleRateHz;
  const first = Math.max(0, Math.floor(sent.firstSample - margin));
  const end = Math.min(iq.length / 2, Math.ceil(sent.firstSample + symbols.length * sent.symbolSamples + margin));
  const own = iq.subarray(2 * first, 2 * end);
  const offsetHz = sent.carrierHz - captureAt(recording, sent.firstSample).carrierHz;
  const reachHz = keyedBand(layout.symbolRate, layout.deviationHz);
  const signal = bandLimited(own, sampleRateHz, offsetHz - reachHz, offsetHz + reachHz, ffts);
  const noiseDensity = quietDensity(own, sampleRateHz, ffts);
  // The layout's own rate: how far the sender's clock is off, the edges tell.
  const symbolSamples = sampleRateHz / layout.symbolRate;
  const edges = look(signal, { noiseDensity, symbolSamples, modulation: layout.modulation });
  return edges.map((edge) => ({ ...edge, at: first + edge.at }));
}

function offsOf(recording: SampleRecording, look: typeof edgesOf): number[] {
  return recording.copies
    .filter(({ clean }) => clean)
    .flatMap((sent) => {
      const seen = seenEdges(recording, sent, look);
      return sentEdges(sent).map(({ at, kind }) => {
        const edge = nearestEdge(seen, at, 0.45 * sent.symbolSamples);
        const who = `${sent.sending.sensor.name}, ${kind} at ${at / recording.sampleRateHz} s, ${sent.ebN0Db} dB`;
        if (!edge) return expect.fail(`${who} is not seen`);
        // Where another sender begins as this one ends, it is no end that can be seen.
        if (kind.startsWith("burst") && !isAlone(recording, sent)) return edge.at - at;
        const begins = kind.replace("level rises", "burst begins").replace("level falls", "burst ends");
        expect([kind, begins], who).toContain(edge.kind);
        return edge.at - at;
      });
    });
}

/** Whether nobody else sends from 10 ms before it to 10 ms after it. */
function isAlone({ copies }: SampleRecording, { copy }: SentCopy): boolean {
  return copies.every(
    ({ copy: other }) =>
      other === copy || other.endSeconds < copy.atSeconds - 0.01 || other.atSeconds > copy.endSeconds + 0.01,
  );
}

describe.each(sampleNames)("%s", (name) => {
  it("has every edge of every clean copy at most one sample from where it was sent", () => {
    const offs = offsOf(sampleRecording(name), edgesOf)
      .map(Math.abs)
      .sort((a, b) => a - b);
    expect(offs.length).toBeGreaterThan(100);
    const p95 = offs[Math.floor(0.95 * offs.length)]!;
    console.info(`${name}: ${offs.length} edges, p95 ${p95.toFixed(2)}, worst ${offs.at(-1)!.toFixed(2)} samples`);
    expect(offs.at(-1)).toBeLessThanOrEqual(1);
    expect(p95).toBeLessThan(0.6);
  });
});

it("of strong bursts each edge by itself is within one sample as well, and in the mean where it was sent", () => {
  // 315 MHz, ASK, 26 to 32 dB; and FSK of 25 to 33 dB.
  for (const name of ["dumb-sensor", "sound-car"]) {
    const offs = offsOf(sampleRecording(name), edgesSeen);
    const mean = offs.reduce((sum, off) => sum + off, 0) / offs.length;
    const far = offs.filter((off) => Math.abs(off) > 1).length / offs.length;
    expect(Math.abs(mean), name).toBeLessThan(0.05);
    expect(far, name).toBeLessThan(0.01);
  }
});
