import { Writable } from "node:stream";
import { expect, it } from "vitest";
import { createProgress, progressLine, speedSentence } from "../../server/cli/progress.ts";
import type { Recording } from "../../server/recordings/recording.ts";

it.each([
  [{ samplesRead: 0, sampleCount: 1e6, tookSeconds: 0, telegrams: 0 }, "0 %, 0.0 MS/s, 0 telegrams so far"],
  [
    { samplesRead: 25e6, sampleCount: 1e8, tookSeconds: 2, telegrams: 1 },
    "25 %, 12.5 MS/s, 6.0 s left, 1 telegram so far",
  ],
  [
    { samplesRead: 999, sampleCount: 1000, tookSeconds: 1, telegrams: 2 },
    "99 %, 0.0 MS/s, 0.0 s left, 2 telegrams so far",
  ],
  [
    { samplesRead: 1e6, sampleCount: 6e9, tookSeconds: 1, telegrams: 0 },
    "0 %, 1.0 MS/s, 1 h 40 min left, 0 telegrams so far",
  ],
  [{ samplesRead: 4e6, sampleCount: undefined, tookSeconds: 2, telegrams: 3 }, "2.0 MS/s, 3 telegrams so far"],
])("the line says share, speed, time left and telegrams: %o", (standing, says) => {
  expect(progressLine(standing)).toBe(says);
});

it("the sentence at the end says how much was read and how fast", () => {
  const standing = { samplesRead: 4_500_000, sampleCount: undefined, tookSeconds: 0.25, telegrams: 4 };
  expect(speedSentence(standing, 250_000)).toBe("18 s of signal read in 0.3 s, at 18.0 MS/s.");
});

it("is written twice a second at most, taken away again, and hands on every byte", async () => {
  const written: string[] = [];
  const terminal = new Writable({
    write(chunk: Buffer, _, done) {
      written.push(chunk.toString());
      done();
    },
  });
  let nowMs = 1000;
  async function* blocks(): AsyncGenerator<Uint8Array> {
    for (let i = 0; i < 10; i++) {
      yield Uint8Array.of(i, i);
      nowMs += 100;
    }
  }
  const recording: Recording = {
    kind: "samples",
    file: "bay.cu8",
    sampleType: "cu8",
    sampleRateHz: 10,
    captures: [{ sampleStart: 0, carrierHz: undefined }],
    blocks: blocks(),
    sampleCount: 10,
    origin: { kind: "stream" },
  };
  const progress = createProgress(recording, terminal, () => nowMs);
  const got: number[] = [];
  for await (const block of progress.recording.blocks) got.push(...block);
  progress.telegram();
  expect(got).toEqual([0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6, 7, 7, 8, 8, 9, 9]);
  const lines = written.filter((text) => text.includes("%"));
  expect(lines).toEqual(["60 %, 0.0 MS/s, 0.3 s left, 0 telegrams so far"]);
  progress.end();
  expect(written.slice(1)).toEqual([
    `\r${" ".repeat(lines[0]?.length ?? 0)}\r`,
    "1.0 s of signal read in 1.0 s, at 0.0 MS/s.\n",
  ]);
  progress.clear();
  expect(written).toHaveLength(3);
});
