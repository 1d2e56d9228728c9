import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { BurstBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { captureAt, type SentCopy, sampleNames, sampleRecording } from "../support/sent-copies.ts";

// What the server measures on every sample, against what was really sent. The truth comes from the modulator, which
// shares only the layout files with the decoders.

let bench: HttpBench;
let hashes: Map<string, string>;
beforeAll(async () => {
  bench = await openBench({ samples: true });
  await bench.house.samples.settled;
  const { body } = await bench.ask("GET", "/recordings");
  hashes = new Map(body.map(({ name, hash }: { name: string; hash: string }) => [name, hash]));
}, 120_000);
afterAll(() => bench.close());

const MOST_ASKED = 100;

function pathOf(name: string): string {
  const hash = hashes.get(name);
  if (hash === undefined) throw new Error(`${name} is not there`);
  return `/recordings/${hash}`;
}

async function got(path: string) {
  const { status, body } = await bench.ask("GET", path);
  expect(status, `${path}: ${JSON.stringify(body).slice(0, 400)}`).toBe(200);
  return body;
}

describe.each(sampleNames)("%s", (name) => {
  const recording = sampleRecording(name);
  const { sampleRateHz } = recording;
  const clean = recording.copies.filter((copy) => copy.clean);

  it("snaps to an edge beside which it is asked", async () => {
    for (const [c, sent] of clean.slice(0, 4).entries()) {
      const { symbols, layout } = sent.copy;
      const symbol = symbols.findIndex((one, j) => j > 9 + 5 * c && one !== symbols[j - 1]);
      const sample = sent.firstSample + symbol * sent.symbolSamples;
      const at = (sample + 0.3 * sent.symbolSamples * (c % 2 === 0 ? 1 : -1)) / sampleRateHz;
      const { edge, because } = await got(
        `${pathOf(name)}/edges?at=${at}&reach=${(0.5 * sent.symbolSamples) / sampleRateHz}`,
      );
      const who = `${sent.sending.sensor.name}, symbol ${symbol} at ${sent.ebN0Db} dB: ${because}`;
      expect(edge, who).not.toBeNull();
      expect(Math.abs(edge.sample - sample), who).toBeLessThanOrEqual(1);
      const what = layout.modulation === "fsk" ? "tone" : "level";
      expect(edge.kind, who).toBe(`${what} ${symbols[symbol] === 1 ? "rises" : "falls"}`);
    }
  });

  it("finds first bit, clock and every symbol of each telegram's first copy", async () => {
    const telegrams: StoredTelegramBody[] = await got(`${pathOf(name)}/telegrams`);
    let compared = 0;
    // Each takes a tenth of a second; of very many, some from the first to the last will do.
    const every = Math.ceil(telegrams.length / MOST_ASKED);
    for (const { telegram } of telegrams.filter((_, i) => i % every === 0)) {
      const sent = clean.find(
        (copy) =>
          copy.sending.layout.id === telegram.layout &&
          Math.abs(copy.copy.atSeconds - telegram.atSeconds) < 2e-4 &&
          Math.abs(copy.carrierHz - telegram.carrierHz) < 2000,
      );
      if (!sent) continue;
      compared++;
      const at = telegram.atSeconds + 0.003;
      const { found, because } = await got(`${pathOf(name)}/bursts/${telegram.burst}/symbols?at=${at}`);
      const who = `${sent.sending.sensor.name} at ${telegram.atSeconds}: ${because}`;
      expect(found, who).not.toBeNull();
      expect([found.layout, found.sync], who).toEqual([telegram.layout, "found"]);
      const { preamble, sync } = sent.copy.layout;
      const before = preamble.symbols.length * preamble.repeat + sync.symbols.length;
      const firstBit = sent.firstSample + before * sent.symbolSamples;
      expect(Math.abs(found.firstBitSample - firstBit), who).toBeLessThan(sent.symbolSamples / 4);
      expect(Math.abs(found.symbolSamples / sent.symbolSamples - 1), who).toBeLessThan(5e-4);
      expect(found.symbolCount, who).toBe(sent.copy.symbols.length);
      expect(found.symbols, who).toBe(hexOf(sent.copy.symbols));
      expect(found.confidence.length, who).toBe(found.symbolCount);
    }
    expect(compared > 0).toBe(
      telegrams.length > 0 && clean.some(({ sending }) => sending.layout.id !== "quay-trolley"),
    );
  });

  it("measures carrier, deviation, rate, drift and length of every clean copy, of many of a hundred", async () => {
    const bursts: BurstBody[] = await got(`${pathOf(name)}/bursts`);
    // Where several are on at once, the copy's own is the one that its carrier lies nearest to.
    const burstOf = ({ copy, carrierHz }: SentCopy) => {
      const there = bursts.filter(
        (one) =>
          one.atSeconds < copy.endSeconds - 0.004 && one.atSeconds + one.durationSeconds > copy.atSeconds + 0.004,
      );
      there.sort((a, b) => Math.abs(a.carrierHz - carrierHz) - Math.abs(b.carrierHz - carrierHz));
      return there.length > 1 ? `&burst=${there[0]!.index}` : "";
    };
    const worst = { carrierHz: 0, deviationHz: 0, ratePpm: 0, startSamples: 0, lengthSamples: 0, driftSigmas: 0 };
    const each = Math.ceil(clean.length / MOST_ASKED);
    for (const sent of clean.filter((_, i) => i % each === 0)) {
      const { copy, firstSample, symbolSamples } = sent;
      const from = copy.atSeconds;
      const to = copy.endSeconds;
      const burst = burstOf(sent);
      const measures = await got(`${pathOf(name)}/measures?from=${from}&to=${to}${burst}`);
      const who = `${sent.sending.sensor.name} at ${from} (${copy.layout.id}, ${sent.ebN0Db} dB)`;
      expect(measures.of, who).toBe("burst");
      expect(measures.modulation, who).toBe(copy.layout.modulation);
      const note = (key: keyof typeof worst, off: number) => {
        worst[key] = Math.max(worst[key], Math.abs(off));
        return Math.abs(off);
      };
      expect(note("carrierHz", measures.carrierHz - sent.carrierHz), who).toBeLessThan(20);
      const rate = sampleRateHz / symbolSamples;
      expect(note("ratePpm", 1e6 * (measures.symbolRate / rate - 1)), who).toBeLessThan(200);
      if (copy.layout.deviationHz !== undefined) {
        expect(note("deviationHz", measures.deviationHz - copy.layout.deviationHz), who).toBeLessThan(150);
      }
      if (measures.driftHzPerSecond !== null) {
        const off = measures.driftHzPerSecond - copy.driftHzPerSecond;
        expect(note("driftSigmas", off / measures.driftSigmaHzPerSecond), who).toBeLessThan(5);
      }
      // An ASK copy is seen from its first on to its last one.
      const isOn = (symbol: number) => copy.layout.modulation === "fsk" || symbol === 1;
      const first = copy.symbols.findIndex(isOn);
      const end = copy.symbols.findLastIndex(isOn) + 1;
      const start = firstSample + first * symbolSamples;
      expect(note("startSamples", measures.fromSeconds * sampleRateHz - start), who).toBeLessThan(2);
      const length = (end - first) * symbolSamples;
      expect(note("lengthSamples", measures.durationSeconds * sampleRateHz - length), who).toBeLessThan(3);
      if (measures.riseSeconds !== null) {
        // The modulator's edges are as sharp as a sample.
        expect(measures.riseSeconds, who).toBeLessThan(2 * measures.edgeResolutionSeconds);
        expect(measures.because.riseSeconds, who).toContain("shorter");
      }
    }
    console.info(
      `${name}: ${clean.length} copies, worst ${JSON.stringify(worst, (_, v) => (typeof v === "number" ? Number(v.toPrecision(3)) : v))}`,
    );
    expect(clean.length).toBeGreaterThan(0);
  });

  it("tells when each sensor sent", async () => {
    const { sensors, recordingSeconds } = await got(`${pathOf(name)}/timing`);
    for (const sensor of sensors) {
      const own = recording.copies.filter(
        ({ sending }) => sending.layout.id === sensor.layout && identityOf(sending) === BigInt(`0x${sensor.identity}`),
      );
      for (const { atSeconds, copies, durationSeconds } of sensor.transmissions) {
        const first = own.find(({ copy }) => Math.abs(copy.atSeconds - atSeconds) < 1e-3);
        expect(first, `${sensor.identity} at ${atSeconds}`).toBeDefined();
        if (!first?.clean || copies < first.sending.copies.length) continue;
        const last = first.sending.copies.at(-1)!;
        const sent = last.endSeconds - first.copy.atSeconds;
        if (first.copy !== first.sending.copies[0]) continue;
        expect(Math.abs(durationSeconds - sent), `${sensor.identity} at ${atSeconds}`).toBeLessThan(2e-3);
      }
      expect(sensor.onShare).toBeCloseTo(sensor.onAirSeconds / recordingSeconds, 9);
      expect(sensor.rules.map(({ id }: { id: string }) => id)).toEqual(["fcc-on-time", "fcc-silence", "srd-duty"]);
    }
    expect(sensors.length > 0).toBe(
      recording.copies.some(({ clean: is, sending }) => is && sending.layout.id !== "quay-trolley"),
    );
  });

  it("shows the strongest burst in the spectrum where its carrier is", async () => {
    const sent = clean.reduce((a, b) => (a.copy.amplitude >= b.copy.amplitude ? a : b));
    const query = `from=${sent.copy.atSeconds}&to=${sent.copy.endSeconds}&lines=256`;
    const spectrum = await got(`${pathOf(name)}/spectrum?${query}`);
    const top = spectrum.dbfs.indexOf(Math.max(...spectrum.dbfs));
    const hz = spectrum.lowHz + (top + 0.5) * spectrum.lineHz;
    const reach = (sent.copy.layout.deviationHz ?? 0) + spectrum.resolutionHz + 0.5 * sent.copy.layout.symbolRate;
    expect(Math.abs(hz - sent.carrierHz)).toBeLessThan(reach);
    expect(spectrum.dbfs[top] - spectrum.noiseDbfs).toBeGreaterThan(10);
    const centre = captureAt(recording, sent.firstSample).carrierHz;
    expect(spectrum.nominal.filter(({ inBand }: { inBand: boolean }) => inBand)).toContainEqual(
      expect.objectContaining({ carrierHz: centre }),
    );
  });

  it("shows a burst's frequencies, and none of noise", async () => {
    const sent = clean.reduce((a, b) => (a.ebN0Db >= b.ebN0Db ? a : b));
    const { layout, atSeconds, endSeconds } = sent.copy;
    const half = (layout.deviationHz ?? 0) + 1.5 * layout.symbolRate;
    const query = `from=${atSeconds}&to=${endSeconds}&columns=50&frequency=true&lowHz=${sent.carrierHz - half}&highHz=${sent.carrierHz + half}`;
    const { lowestHz, highestHz, frequencyBecause, least } = await got(`${pathOf(name)}/signal?${query}`);
    expect([frequencyBecause, lowestHz.length, least.length]).toEqual([null, 50, 50]);
    const middles = lowestHz.flatMap((low: number | null, k: number) =>
      low === null ? [] : [(low + highestHz[k]) / 2],
    );
    expect(middles.length).toBeGreaterThan(25);
    middles.sort((a: number, b: number) => a - b);
    expect(Math.abs(middles[middles.length >> 1] - sent.carrierHz)).toBeLessThan(half / 2);
    if (layout.deviationHz !== undefined) {
      expect(Math.max(...highestHz)).toBeGreaterThan(sent.carrierHz + 0.7 * layout.deviationHz);
      expect(Math.min(...lowestHz.filter((hz: number | null) => hz !== null))).toBeLessThan(
        sent.carrierHz - 0.7 * layout.deviationHz,
      );
    }
    const plain = await got(`${pathOf(name)}/signal?from=${atSeconds}&to=${endSeconds}&columns=50`);
    expect(Object.keys(plain)).toEqual(["fromSeconds", "toSeconds", "columns", "least", "most"]);
  });
});

it("cuts by its own clock what no layout reads", async () => {
  const bursts: BurstBody[] = await got(`${pathOf("unknown-layout")}/bursts`);
  const recording = sampleRecording("unknown-layout");
  let compared = 0;
  for (const sent of recording.copies) {
    if (!sent.clean || sent.copy.layout.id !== "quay-trolley") continue;
    const burst = bursts.find((one) => Math.abs(one.atSeconds - sent.copy.atSeconds) < 1e-3);
    const { found } = await got(`${pathOf("unknown-layout")}/bursts/${burst?.index}/symbols`);
    const symbols = bitsOf(found.symbols, found.symbolCount);
    // It may begin a few symbols of noise early; from there on all but the last are as sent, and in their places.
    const early = Math.round((sent.firstSample - found.firstSymbolSample) / sent.symbolSamples);
    expect(Math.abs(early)).toBeLessThan(6);
    const cut = symbols.slice(early + 8, early + sent.copy.symbols.length - 2);
    expect(cut.join("")).toBe(Array.from(sent.copy.symbols).slice(8, -2).join(""));
    const off = found.firstSymbolSample + early * found.symbolSamples - sent.firstSample;
    expect(Math.abs(off)).toBeLessThan(sent.symbolSamples / 4);
    compared++;
  }
  expect(compared).toBeGreaterThan(20);
});

describe("what is not there is said so", () => {
  const name = "sound-car";
  it("no edge in noise", async () => {
    const { edge, because } = await got(`${pathOf(name)}/edges?at=0.1&reach=0.005`);
    expect(edge).toBeNull();
    expect(because).toContain("0.005 s");
  });
  it("levels alone of a stretch without a burst", async () => {
    const measures = await got(`${pathOf(name)}/measures?from=0.05&to=0.15`);
    expect([measures.of, measures.burst, measures.carrierHz]).toEqual(["stretch", null, null]);
    expect(measures.because.burst).toContain("No burst");
    // The scenario's noise is -36 dBFS over the whole band.
    expect(Math.abs(measures.levelDbfs + 36)).toBeLessThan(0.5);
    expect(Math.abs(measures.noiseDbfs + 36)).toBeLessThan(0.5);
  });
  it.each([
    ["a stretch without a sample", "/measures?from=2&to=1", 400],
    ["a moment behind the end", "/edges?at=99&reach=0.001", 400],
    ["a reach that takes in too much", "/edges?at=0.5&reach=9", 400],
    ["a band that was not recorded", "/edges?at=0.5&reach=0.01&lowHz=1&highHz=2", 400],
    ["lines that are no power of two", "/spectrum?from=0&to=1&lines=100", 400],
    ["more lines than samples", "/spectrum?from=0&to=0.0001&lines=512", 400],
    ["a burst that is not there", "/bursts/999/symbols", 404],
    ["a burst without a number", "/bursts/x/symbols", 404],
  ])("%s is refused", async (_, path, status) => {
    const answer = await bench.ask("GET", `${pathOf(name)}${path}`);
    expect(answer.status).toBe(status);
    expect(answer.body.nextSteps.length).toBeGreaterThan(0);
  });
  it("a recording that is not there, by every route", async () => {
    for (const path of [
      "edges?at=0&reach=1",
      "measures?from=0&to=1",
      "timing",
      "spectrum?from=0&to=1",
      "bursts/0/symbols",
    ]) {
      expect((await bench.ask("GET", `/recordings/none/${path}`)).status).toBe(404);
    }
  });
});

function hexOf(symbols: Uint8Array): string {
  const text = Array.from(symbols).join("");
  return (text.padEnd(4 * Math.ceil(text.length / 4), "0").match(/.{4}/g) ?? [])
    .map((four) => Number.parseInt(four, 2).toString(16))
    .join("");
}

function bitsOf(hex: string, count: number): string[] {
  return Array.from(hex, (digit) => Number.parseInt(digit, 16).toString(2).padStart(4, "0"))
    .join("")
    .slice(0, count)
    .split("");
}

function identityOf({ sensor }: SentCopy["sending"]): bigint {
  return BigInt(`0x${sensor.identity}`);
}
