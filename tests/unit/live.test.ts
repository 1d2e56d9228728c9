import { readdirSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { LiveTelegram, LiveTold } from "../../decoders/frames/teller.ts";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { createLive, liveSamples } from "../../decoders/live.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import type { BurstLine } from "../../decoders/sources.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { openRecording } from "../../server/recordings/openRecording.ts";
import { analysedTelegrams, said } from "../support/analysed.ts";

const samples = join(import.meta.dirname, "..", "..", "samples");
const lineFiles = readdirSync(samples).filter((name) => name.endsWith(".ndjson"));
const recordings = ["sound-car.sigmf-meta", "two-sensors-colliding.sigmf-meta", "dumb-sensor.sigmf-meta"];

describe.each(lineFiles)("%s, burst by burst", (name) => {
  it("gives the telegrams that the whole file gives", async () => {
    const live = createLive("bay", builtinLayouts, 0);
    const told = (await burstsOf(name)).flatMap((line) => live.push(line));
    told.push(...live.quiet(1000));
    expect(said(newest(told))).toEqual(said(await analysedTelegrams(join(samples, name))));
  });

  it("tells each burst once, by the sequence of its line", async () => {
    const lines = await burstsOf(name);
    const live = createLive("bay", builtinLayouts, 0);
    for (const line of lines) {
      const bursts = live.push(line).filter((one) => one.kind === "burst");
      expect(bursts.map((one) => one.burst.index)).toEqual([line.sequence]);
    }
  });
});

describe("a telegram", () => {
  it("is told at its first verified copy, and revised by each that follows", async () => {
    const live = createLive("bay", builtinLayouts, 0);
    const revisions = new Map<number, number[]>();
    for (const line of await burstsOf("sound-car.ndjson")) {
      for (const one of telegramsOf(live.push(line))) {
        expect(one.telegram.verified).toBe(true);
        expect(one.telegram.repeats).toHaveLength(one.revision);
        revisions.set(one.opener, [...(revisions.get(one.opener) ?? []), one.revision]);
      }
    }
    expect([...revisions.values()]).toEqual([
      [1, 2, 3, 4],
      [1, 2, 3, 4],
      [1, 2, 3, 4],
      [1, 2, 3, 4],
    ]);
  });

  it("that cannot be verified is told when no copy can follow any more", async () => {
    const unchecked = builtinLayouts.map((layout) => ({ ...layout, checks: [] }));
    const live = createLive("bay", unchecked, 0);
    const [first] = await burstsOf("sound-car.ndjson");
    expect(telegramsOf(live.push(first!))).toEqual([]);
    expect(telegramsOf(live.quiet(0.05))).toEqual([]);
    const [telegram] = telegramsOf(live.quiet(5));
    expect(telegram).toMatchObject({ revision: 1, telegram: { verified: false } });
    expect(telegramsOf(live.quiet(6))).toEqual([]);
  });

  it("takes a copy that comes late, and then counts from the one that went first", async () => {
    const lines = await burstsOf("sound-car.ndjson");
    const live = createLive("bay", builtinLayouts, 0);
    const late = [...lines.slice(1), lines[0]!];
    const told = late.flatMap((line) => live.push(line));
    expect(said(newest(told))).toEqual(said(await analysedTelegrams(join(samples, "sound-car.ndjson"))));
  });

  it("is none of the copies of another that was sent long before, though it says the same", async () => {
    const [first] = await burstsOf("sound-car.ndjson");
    const live = createLive("bay", builtinLayouts, 0);
    const now = { ...first!, sequence: 500, atSeconds: first!.atSeconds + 600 };
    expect(
      telegramsOf([...live.push(now), ...live.push(first!)]).map(({ opener, revision }) => [opener, revision]),
    ).toEqual([
      [500, 1],
      [first!.sequence, 1],
    ]);
  });

  it("keeps its copies together though the receiver's clock was put back", async () => {
    const lines = await burstsOf("sound-car.ndjson");
    const live = createLive("bay", builtinLayouts, 0);
    for (const line of lines) live.push({ ...line, sequence: line.sequence + 100, atSeconds: line.atSeconds + 3600 });
    const told = telegramsOf(lines.flatMap((line) => live.push(line)));
    expect(said(newest(told))).toEqual(said(await analysedTelegrams(join(samples, "sound-car.ndjson"))));
    expect(told.map(({ revision }) => revision)).toEqual([1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4]);
    expect(live.unsettled()).toBe(lines.length);
  });

  it("is the same whatever order its copies come in within a second", async () => {
    const lines = await burstsOf("crowded-yard.ndjson");
    const whole = said(await analysedTelegrams(join(samples, "crowded-yard.ndjson")));
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: lines.length, maxLength: lines.length }),
        (delays) => {
          const order = lines.map((line, i) => ({ line, at: line.atSeconds + delays[i]! })).sort((a, b) => a.at - b.at);
          const live = createLive("bay", builtinLayouts, 0);
          const told = order.flatMap(({ line }) => live.push(line));
          expect(said(newest([...told, ...live.quiet(100)]))).toEqual(whole);
        },
      ),
      { numRuns: 3, seed: 11 },
    );
  });
});

describe("after it was lost, a decoder", () => {
  it("that is given the unsettled bursts again tells the same of all that comes", async () => {
    const lines = await burstsOf("crowded-yard.ndjson");
    const whole = createLive("bay", builtinLayouts, 0);
    const expected = newest([...lines.flatMap((line) => whole.push(line)), ...whole.quiet(100)]);
    for (const cut of [1, 7, 20, Math.floor(lines.length / 2), lines.length - 1]) {
      const first = createLive("bay", builtinLayouts, 0);
      const told: LiveTold[] = lines.slice(0, cut).flatMap((line) => first.push(line));
      const second = createLive("bay", builtinLayouts, 0);
      told.push(...lines.slice(cut - first.unsettled()).flatMap((line) => second.push(line)), ...second.quiet(100));
      expect(said(newest(told))).toEqual(said(expected));
    }
  });

  it("is given a telegram whole, though one between its copies is settled later", async () => {
    const lines = await burstsOf("sound-car.ndjson");
    const live = createLive("bay", builtinLayouts, 0);
    const [copy, other, again] = [lines[0]!, lines[4]!, lines[1]!];
    live.push({ ...copy, atSeconds: 0 });
    live.push({ ...other, atSeconds: 0.1 });
    live.push({ ...again, atSeconds: 0.12 });
    const counts = new Set<number>();
    for (let seconds = 55; seconds < 65; seconds += 0.01) {
      live.quiet(seconds);
      counts.add(live.unsettled());
    }
    expect([...counts]).toEqual([3, 0]);
  });

  it("has nothing unsettled a minute after the last burst", async () => {
    const live = createLive("bay", builtinLayouts, 0);
    for (const line of await burstsOf("sound-car.ndjson")) live.push(line);
    expect(live.unsettled()).toBeGreaterThan(0);
    live.quiet(65);
    expect(live.unsettled()).toBe(0);
  });
});

describe.each(recordings)("%s as live samples", (name) => {
  it("gives the telegrams that the recording gives", async () => {
    const opened = await openRecording(join(samples, name));
    if (!opened.ok) throw opened.error;
    const told: LiveTold[] = [];
    for await (const one of liveSamples(opened.value, builtinLayouts)) told.push(one);
    expect(said(newest(told))).toEqual(said(await analysedTelegrams(join(samples, name))));
  });
});

describe("live samples", () => {
  it("tell of a burst within a second of samples after its end", async () => {
    const opened = await openRecording(join(samples, "sound-car.sigmf-meta"));
    if (!opened.ok) throw opened.error;
    const { sampleRateHz, blocks } = opened.value;
    let seconds = 0;
    const paced = async function* () {
      for await (const block of blocks) {
        for (let at = 0; at < block.length; at += 2000) {
          const part = block.subarray(at, at + 2000);
          seconds += part.length / bytesPerSample / sampleRateHz;
          yield part;
        }
      }
    };
    const bytesPerSample = { ci16_le: 4, ci8: 2, cu8: 2, cf32_le: 8 }[opened.value.sampleType];
    const delays: number[] = [];
    for await (const one of liveSamples({ ...opened.value, blocks: paced() }, builtinLayouts)) {
      if (one.kind === "burst") delays.push(seconds - one.burst.atSeconds - one.burst.durationSeconds);
    }
    expect(delays).toHaveLength(16);
    expect(Math.max(...delays)).toBeLessThan(1);
  });
});

async function burstsOf(name: string): Promise<BurstLine[]> {
  const opened = await openLineFile(join(samples, name), () => undefined);
  if (!opened.ok) throw opened.error;
  const lines: BurstLine[] = [];
  for await (const line of opened.value.lines) if (line.type === "burst") lines.push(line);
  return lines;
}

function telegramsOf(told: readonly LiveTold[]): LiveTelegram[] {
  return told.filter((one) => one.kind === "telegram");
}

/** The last revision of each telegram. */
function newest(told: readonly LiveTold[]): TelegramRecord[] {
  const byId = new Map<string, LiveTelegram>();
  for (const one of telegramsOf(told)) {
    const id = `${one.opener}-${one.ordinal}`;
    const before = byId.get(id);
    if (!before || before.revision <= one.revision) byId.set(id, one);
  }
  return [...byId.values()].map(({ telegram }) => telegram);
}
