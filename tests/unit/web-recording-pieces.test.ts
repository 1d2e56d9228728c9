import { describe, expect, it } from "vitest";
import type { UploadBody } from "../../server/http/wire.ts";
import { type PiecesStep, piecesShare, piecesWords } from "../../web/model/recording/piecesWords.ts";
import { percentWords, restWords } from "../../web/model/recording/restWords.ts";

const upload: UploadBody = {
  id: "1",
  name: "bay",
  byteCount: 4e9,
  offset: 1e9,
  state: "coming",
  progress: 0.25,
  restSeconds: 34,
  hash: null,
  because: null,
  alike: null,
  expiresAt: "2026-12-02T00:00:00.000000Z",
};
const plain = (text: string) => text.replaceAll("\u202f", " ");

describe("what is said of a recording that is sent in pieces", () => {
  it.each<[PiecesStep, string, number | undefined]>([
    [{ at: "looking" }, "Looking whether bay is here already …", undefined],
    [{ at: "sending", upload }, "Sending bay: 25 % of 4.0 GB, about 40 s left. Keep this page open.", 0.25],
    [
      { at: "paused", upload },
      "bay is paused at 25 % of 4.0 GB. If you close this page, choose the same file again within a week and it goes on from there.",
      0.25,
    ],
    [{ at: "away", upload: undefined }, "bay waits: the server does not answer. It goes on by itself.", undefined],
    [{ at: "away", upload }, "bay waits: the server does not answer. It goes on by itself from 25 % of 4.0 GB.", 0.25],
    [
      { at: "keeping", upload: { ...upload, offset: 4e9, progress: 0.999, restSeconds: null } },
      "All of bay is sent. It is being hashed, 99 % done. You may close this page.",
      0.999,
    ],
    [
      { at: "alike", upload },
      "bay may be here already: a recording of this size has the same beginning, middle and end.",
      undefined,
    ],
  ])("%j", (step, words, share) => {
    expect(plain(piecesWords("bay", step))).toBe(words);
    expect(piecesShare(step)).toBe(share);
  });
});

it("time left is rounded up, so that nobody waits longer than was said", () => {
  const said = [null, undefined, 0, 9.9, 10, 61, 90, 5400, 5401].map((seconds) => plain(restWords(seconds)));
  expect(said).toEqual([
    "",
    "",
    ", a few seconds left",
    ", a few seconds left",
    ", about 10 s left",
    ", about 70 s left",
    ", about 2 min left",
    ", about 90 min left",
    ", about 2 h left",
  ]);
  expect([0, 0.999, 1].map((share) => plain(percentWords(share)))).toEqual(["0 %", "99 %", "100 %"]);
});
