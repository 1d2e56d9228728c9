import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { eventsOf } from "../../web/model/recording/events.ts";
import { drawnLine, frameAt, frameLines, LEAST_BLOCK_PX, walked } from "../../web/model/recording/frameLines.ts";
import { firstChosen, framesOf, isUnread, neighbour, weakest } from "../../web/model/recording/frames.ts";
import {
  airWordsOf,
  chosenWords,
  copyWords,
  frameWords,
  linesHeading,
  missedWords,
  verdictWords,
} from "../../web/model/recording/frameWords.ts";
import { burst, drawnFrames, records, rungs, telegram } from "../support/recording-bodies.ts";

const failed = (index: number, atSeconds: number, outcome: "sync" | "check" | "length" = "sync") =>
  burst(index, atSeconds, { outcome, rungs: rungs(outcome) });
const idsOf = (frames: readonly { readonly id: string }[]) => frames.map(({ id }) => id);
const ascending = (values: readonly number[]) => values.every((value, i) => i === 0 || value >= values[i - 1]!);

describe("the frames of a recording", () => {
  it("are its bursts in order of time, each once for every telegram that it belongs to", () => {
    fc.assert(
      fc.property(records, ({ bursts, telegrams }) => {
        const frames = framesOf(bursts.toReversed(), telegrams);
        expect(new Set(idsOf(frames)).size).toBe(frames.length);
        expect(ascending(frames.map(({ fromSeconds }) => fromSeconds))).toBe(true);
        for (const one of bursts) {
          const its = frames.filter(({ burst: { index } }) => index === one.index);
          const told = telegrams.filter((stored) => stored.telegram.repeats.includes(one.index));
          expect(its.map((frame) => frame.telegram?.id)).toEqual(
            told.length > 0 ? told.map(({ id }) => id) : [undefined],
          );
          expect(its[0]?.id).toBe(String(one.index));
          expect(its[0]?.toSeconds).toBe(one.atSeconds + one.durationSeconds);
        }
      }),
    );
  });

  it.each([
    ["solid", framesOf([burst(0, 0)], [telegram([0])])],
    ["hollow", framesOf([burst(0, 0)], [telegram([0], "aa", { verified: false })])],
    ["hollow", framesOf([failed(0, 0, "check")], [])],
    ["dotted", framesOf([failed(0, 0, "length")], [])],
    ["dotted", framesOf([failed(0, 0, "sync")], [])],
  ] as const)("are drawn %s by what proves them", (look, [frame]) => {
    expect(frame?.look).toBe(look);
    expect(isUnread(frame!)).toBe(look !== "solid");
  });

  it("that begin together stay in the order of their bursts", () => {
    expect(idsOf(framesOf([failed(2, 1), failed(0, 1), failed(1, 1)], []))).toEqual(["0", "1", "2"]);
  });

  it("drawn as one show the worse of two looks, whichever comes first", () => {
    expect([weakest("solid", "hollow"), weakest("hollow", "solid")]).toEqual(["hollow", "hollow"]);
    expect([weakest("dotted", "hollow"), weakest("solid", "solid")]).toEqual(["dotted", "solid"]);
  });

  it("open with the first that was not read, else with the first", () => {
    const read = telegram([0, 2]);
    expect(firstChosen(framesOf([burst(0, 0), failed(1, 1), burst(2, 2)], [read]))?.id).toBe("1");
    expect(firstChosen(framesOf([burst(0, 0), burst(2, 2)], [read]))?.id).toBe("0");
    expect(firstChosen([])).toBeUndefined();
  });

  it("are walked through one after the other, or over those that are wanted", () => {
    const frames = framesOf([burst(0, 0), failed(1, 1), burst(2, 2), failed(3, 3)], [telegram([0, 2])]);
    expect(neighbour(frames, "0", 1)?.id).toBe("1");
    expect(neighbour(frames, "0", 1, (frame) => !isUnread(frame))?.id).toBe("2");
    expect(neighbour(frames, "3", -1)?.id).toBe("2");
    expect(neighbour(frames, "3", 1)).toBeUndefined();
    expect(neighbour(frames, "0", -1)).toBeUndefined();
    expect(neighbour(frames, undefined, 1)?.id).toBe("0");
    expect(neighbour(frames, undefined, -1)?.id).toBe("3");
  });
});

describe("the events of a recording", () => {
  it("hold every frame in exactly one, in order of their first frames", () => {
    fc.assert(
      fc.property(drawnFrames, (frames) => {
        const events = eventsOf(frames);
        expect(idsOf(events.flatMap((event) => event.frames)).toSorted()).toEqual(idsOf(frames).toSorted());
        expect(ascending(events.map(({ first }) => frames.indexOf(first)))).toBe(true);
        for (const event of events) {
          expect(event.frames[0]).toBe(event.first);
          expect(new Set(event.frames.map((frame) => frame.telegram?.id)).size).toBe(1);
          expect(event.first.telegram ? 1 : new Set(event.frames.map((one) => one.burst.outcome)).size).toBe(1);
        }
        const told = events.map(({ first }) => first.telegram?.id).filter((id) => id !== undefined);
        expect(new Set(told).size).toBe(told.length);
      }),
    );
  });

  it("are a telegram with its copies, and bursts in a row that failed alike", () => {
    const bursts = [failed(0, 0), failed(1, 1), burst(2, 2), failed(3, 3), burst(4, 4), failed(5, 5, "check")];
    const events = eventsOf(framesOf(bursts, [telegram([2, 4])]));
    expect(events.map((event) => idsOf(event.frames))).toEqual([["0", "1"], ["2", "4"], ["3"], ["5"]]);
  });

  it("keep a burst whose telegram is not at hand apart from a telegram that is", () => {
    expect(eventsOf(framesOf([burst(0, 0), burst(1, 1)], [telegram([0])]))).toHaveLength(2);
  });

  it("keep bursts apart that were tried as different layouts", () => {
    const tried = (index: number, layout: string) => burst(index, index, { outcome: "check", layout });
    expect(eventsOf(framesOf([tried(0, "a"), tried(1, "b"), tried(2, "b")], []))).toHaveLength(2);
  });
});

describe("the frame lines", () => {
  it("hold every frame in exactly one line, sensors first, each in order of time", () => {
    fc.assert(
      fc.property(drawnFrames, (frames) => {
        const lines = frameLines(frames);
        expect(idsOf(lines.flatMap((line) => line.frames)).toSorted()).toEqual(idsOf(frames).toSorted());
        expect(new Set(lines.map(({ key }) => key)).size).toBe(lines.length);
        const kinds = lines.map(({ kind }) => ["sensor", "unverified", "unreadable"].indexOf(kind));
        expect(ascending(kinds)).toBe(true);
        for (const line of lines) {
          expect(ascending(line.frames.map((frame) => frames.indexOf(frame)))).toBe(true);
          expect(line.frames.every((frame) => (frame.look === "solid") === (line.kind === "sensor"))).toBe(true);
          expect(new Set(line.frames.map((frame) => frame.telegram?.identity)).size).toBe(1);
        }
      }),
    );
  });

  it("are named after the sensor, or after what is wrong", () => {
    const bursts = [failed(0, 0), burst(1, 1), burst(2, 2), burst(3, 3), failed(4, 4, "check"), burst(5, 5)];
    const told = [telegram([1]), telegram([2], null), telegram([3], "3a51c0de", { verified: false })];
    const lines = frameLines(framesOf(bursts, told));
    expect(lines.map(({ kind, title, isIdentity }) => [kind, title, isIdentity])).toEqual([
      ["sensor", "3a51c0de", true],
      ["sensor", "pilot-car, no sensor ID", false],
      ["unverified", "3a51c0de", true],
      ["unreadable", "no known start", false],
      ["unreadable", "the check does not agree", false],
      ["unreadable", "part of a telegram", false],
    ]);
  });

  const view = fc
    .tuple(fc.double({ min: 0, max: 9, noNaN: true }), fc.double({ min: 0.01, max: 10, noNaN: true }))
    .map(([fromSeconds, length]) => ({ fromSeconds, toSeconds: fromSeconds + length }));
  const width = fc.integer({ min: 120, max: 1200 });

  it("have blocks that never overlap, stay in the drawing, and hold every frame in sight once", () => {
    fc.assert(
      fc.property(drawnFrames, view, width, (frames, range, widthPx) => {
        for (const line of frameLines(frames)) {
          const { blocks } = drawnLine(line, range, widthPx);
          const seen = line.frames.filter(
            (frame) => frame.toSeconds > range.fromSeconds && frame.fromSeconds < range.toSeconds,
          );
          expect(idsOf(blocks.flatMap((block) => block.frames))).toEqual(idsOf(seen));
          for (const [i, block] of blocks.entries()) {
            expect(block.x).toBeGreaterThanOrEqual(0);
            expect(block.width).toBeGreaterThanOrEqual(LEAST_BLOCK_PX - 1e-9);
            expect(block.x + block.width).toBeLessThanOrEqual(widthPx + 1e-9);
            const before = blocks[i - 1];
            if (before) expect(block.x).toBeGreaterThan(before.x + before.width);
            expect(block.frames.some(({ look }) => look === block.look)).toBe(true);
            expect(block.frames.every(({ look }) => weakest(look, block.look) === block.look)).toBe(true);
          }
        }
      }),
    );
  });

  it("have brackets around the copies of one telegram, from the first to the last block, inside the drawing", () => {
    fc.assert(
      fc.property(drawnFrames, view, width, (frames, range, widthPx) => {
        for (const line of frameLines(frames)) {
          const { blocks, brackets } = drawnLine(line, range, widthPx);
          for (const { telegramId, x, width: across } of brackets) {
            expect(x).toBeGreaterThanOrEqual(0);
            expect(x + across).toBeLessThanOrEqual(widthPx + 1e-9);
            const copies = line.frames.filter((frame) => frame.telegram?.id === telegramId);
            expect(copies.length).toBeGreaterThan(1);
            for (const block of blocks) {
              if (block.frames.some((frame) => frame.telegram?.id !== telegramId)) continue;
              expect(block.x).toBeGreaterThanOrEqual(x - 1e-9);
              // A bracket ends with the last copy; a block that was made wide enough to be seen may end after it.
              expect(block.x + block.width).toBeLessThanOrEqual(x + across + LEAST_BLOCK_PX);
            }
          }
          const alone = line.frames.filter((frame) => frame.telegram?.telegram.repeats.length === 1);
          const bracketed = brackets.map(({ telegramId }) => telegramId);
          expect(alone.some((frame) => bracketed.includes(frame.telegram!.id))).toBe(false);
        }
      }),
    );
  });

  it("bracket copies that begin at the very end of what is shown inside of it", () => {
    const [line] = frameLines(framesOf([burst(0, 0.998), burst(1, 2)], [telegram([0, 1])]));
    const { blocks, brackets } = drawnLine(line!, { fromSeconds: 0, toSeconds: 1 }, 500);
    expect(brackets).toMatchObject([{ x: 494, width: 6 }]);
    expect(blocks).toMatchObject([{ x: 494, width: 6 }]);
  });

  it("bracket copies whose ends are both out of sight", () => {
    const [line] = frameLines(framesOf([burst(0, 0), burst(1, 9)], [telegram([0, 1])]));
    const { blocks, brackets } = drawnLine(line!, { fromSeconds: 4, toSeconds: 5 }, 500);
    expect(blocks).toEqual([]);
    expect(brackets).toEqual([{ telegramId: expect.any(String), x: 0, width: 500 }]);
  });

  it("draw blocks as one that nearly touch, by the worst of them, and others apart", () => {
    const [read] = framesOf([burst(0, 0.1)], [telegram([0])]);
    const [close, away] = framesOf([failed(1, 0.111), failed(2, 0.123)], []);
    const line = { key: "x", kind: "unreadable", title: "x", isIdentity: false } as const;
    const range = { fromSeconds: 0, toSeconds: 1 };
    const { blocks } = drawnLine({ ...line, frames: [read!, close!, away!] }, range, 1000);
    expect(blocks.map((block) => [idsOf(block.frames), block.look])).toEqual([
      [["0", "1"], "dotted"],
      [["2"], "dotted"],
    ]);
  });

  it("give the frame under a pointer, or the nearest within reach", () => {
    const [line] = frameLines(framesOf([burst(0, 0.1), burst(1, 0.5), burst(2, 0.5001)], [telegram([0, 1, 2])]));
    const drawing = drawnLine(line!, { fromSeconds: 0, toSeconds: 1 }, 1000);
    expect(drawing.blocks.map((block) => idsOf(block.frames))).toEqual([["0"], ["1", "2"]]);
    expect(frameAt(drawing, 105, 14)?.id).toBe("0");
    expect(frameAt(drawing, 90, 14)?.id).toBe("0");
    expect(frameAt(drawing, 80, 14)).toBeUndefined();
    expect(frameAt(drawing, 501, 14)?.id).toBe("1");
    expect(frameAt(drawing, 509, 14)?.id).toBe("2");
    expect(frameAt(drawing, 520, 14)?.id).toBe("2");
    expect(frameAt(drawing, 300, 500)?.id).toBe("0");
    expect(frameAt(drawing, 450, 500)?.id).toBe("1");
  });

  describe("walked through with keys", () => {
    const bursts = [burst(0, 0), burst(1, 1), burst(2, 2), burst(3, 2.1), failed(4, 0.2), failed(5, 5)];
    const lines = frameLines(framesOf(bursts, [telegram([0, 1, 2]), telegram([3], "bb")]));

    it.each([
      ["0", "ArrowRight", "1"],
      ["2", "ArrowRight", "2"],
      ["1", "ArrowLeft", "0"],
      ["0", "ArrowLeft", "0"],
      ["0", "ArrowUp", "0"],
      ["1", "ArrowDown", "3"],
      ["3", "ArrowUp", "2"],
      ["3", "ArrowDown", "4"],
      ["4", "ArrowDown", "4"],
      ["5", "Home", "4"],
      ["4", "End", "5"],
      ["0", "x", undefined],
      [undefined, "ArrowDown", "0"],
      [undefined, "End", "2"],
      ["gone", "Home", "0"],
      [undefined, "x", undefined],
    ])("lead from %s by %s to %s", (id, key, to) => {
      expect(walked(lines, id, key)?.id).toBe(to);
    });

    it("lead nowhere where there is nothing", () => {
      expect(walked([], undefined, "ArrowDown")).toBeUndefined();
    });
  });
});

describe("frames in words", () => {
  const headingOf = (...[bursts, telegrams]: Parameters<typeof framesOf>) =>
    linesHeading(frameLines(framesOf(bursts, telegrams)));

  it("say who is there and what could not be read", () => {
    const bursts = [burst(0, 0), burst(1, 1), burst(2, 2), failed(3, 3), failed(4, 4), failed(5, 5, "check")];
    expect(headingOf(bursts, [telegram([0, 1]), telegram([2], "bb")])).toBe(
      "Three frames read, from two sensors; two bursts not read: no known start; one burst not read: the check does not agree",
    );
    expect(headingOf([failed(0, 0)], [])).toBe("No frame was read; one burst not read: no known start");
    expect(headingOf([], [])).toBe("No frame was read");
  });

  it("count what is not verified together, whoever it says it is", () => {
    const unproven = (index: number, identity: string) => telegram([index], identity, { verified: false });
    expect(headingOf([burst(0, 0), burst(1, 1)], [unproven(0, "aa"), unproven(1, "bb")])).toBe(
      "No frame was read; two frames not verified",
    );
  });

  it("do not count sensors where none says who it is", () => {
    expect(headingOf([burst(0, 0)], [telegram([0], null)])).toBe("One frame read, without a sensor ID");
  });

  it.each([
    [framesOf([burst(0, 1.5)], [telegram([0])]), "3a51c0de, one copy, verified"],
    [framesOf([burst(3, 1.5)], [telegram([1, 3])]), "3a51c0de, copy 2 of 2, verified"],
    [framesOf([burst(0, 1.5)], [telegram([0], null)]), "a sensor without ID (pilot-car), one copy, verified"],
    [framesOf([burst(0, 1.5)], [telegram([0], "aa", { verified: false })]), "aa, one copy, not verified"],
    [framesOf([failed(0, 1.5, "check")], []), "the check does not agree, check does not agree, or proves too little"],
    [framesOf([failed(0, 1.5)], []), "no known start, a fragment"],
    [framesOf([burst(0, 1.5)], []), "part of a telegram, a fragment"],
  ])("tell one frame with its time and frequency", ([frame], words) => {
    expect(frameWords(frame!)).toBe(`at 1.500\u202fs on 433.925\u202fMHz: ${words}`);
  });

  it.each([
    [framesOf([burst(3, 1.5)], [telegram([1, 3])]), "3a51c0de at 1.500\u202fs, copy 2 of 2", "Verified"],
    [
      framesOf([burst(3, 1.5)], [telegram([3], null, { verified: false })]),
      "A sensor without ID at 1.500\u202fs, one copy, not verified",
      "Not verified",
    ],
    [framesOf([failed(0, 1.5)], []), "Burst at 1.500\u202fs: no known start", "No known start"],
    [
      framesOf([burst(0, 1.5, { rungs: rungs("values") })], [telegram([0])]),
      "3a51c0de at 1.500\u202fs, one copy",
      "Verified; values make no sense",
    ],
  ])("tell which one is chosen, and why it is as it is", ([frame], chosen, verdict) => {
    expect(chosenWords(frame!)).toBe(chosen);
    expect(verdictWords(frame!)).toBe(verdict);
  });

  it("never call a burst verified that has no telegram, nor one that is not", () => {
    fc.assert(
      fc.property(drawnFrames, (frames) => {
        for (const frame of frames) {
          const proven = frame.telegram?.telegram.verified === true;
          expect(/^Verified/.test(verdictWords(frame))).toBe(proven);
          expect(/, verified$/.test(frameWords(frame))).toBe(proven);
          expect(chosenWords(frame).includes("not verified")).toBe(frame.telegram !== undefined && !proven);
          expect(copyWords(frame) === "").toBe(frame.telegram === undefined);
        }
      }),
    );
    expect(missedWords("repeat")).toBe("part of a telegram");
  });

  it("tell how a burst was sent, and nothing that was not measured", () => {
    const [frame] = framesOf([burst(0, 0, { clipped: true })], []);
    expect(airWordsOf(frame!)).toBe(
      "433.925\u202fMHz, FSK ±\u202f35.0\u202fkHz, 19,200\u202fsymbols/s, 20.0\u202fdB above the noise, −30.0\u202fdBFS and at the receiver's limit",
    );
    const none = { modulation: null, deviationHz: null, symbolRate: null, snrDb: null, levelDbfs: null };
    const [bare] = framesOf([burst(0, 0, none)], []);
    expect(airWordsOf(bare!)).toBe("433.925\u202fMHz and keying not made out");
  });
});
