import { describe, expect, it } from "vitest";
import type { BoardCellBody, LessonBody } from "../../server/http/wire/lessons.ts";
import { addressInWords, cellWords, classSays, codeInGroups, inColumns } from "../../web/model/class/boardWords.ts";
import { DEFAULT_PROJECTOR, projectorFrom } from "../../web/model/class/projector.ts";
import { addressOf, entryOf, isOfASeat, routeOf } from "../../web/model/route.ts";

const cell = (more: Partial<BoardCellBody> = {}): BoardCellBody => ({
  exercise: "crc",
  state: "looking",
  tries: 0,
  hints: 0,
  lookedSeconds: 0,
  stuck: false,
  ...more,
});

describe("a cell of the board", () => {
  it.each([
    [cell({ state: "not begun" }), "not begun", ""],
    [cell({ lookedSeconds: 59 }), "looking", ""],
    [cell({ tries: 1, hints: 2, lookedSeconds: 125 }), "looking", "1 try, 2 hints, 2 min"],
    [cell({ stuck: true, tries: 3, lookedSeconds: 30 }), "stuck", "3 tries"],
    [cell({ state: "solved", tries: 1, hints: 1, lookedSeconds: 300 }), "solved", "1 try, 1 hint"],
    [cell({ state: "told", tries: 4, lookedSeconds: 300 }), "shown", "4 tries"],
  ])("says in words what %j is", (given, word, figures) => {
    expect(cellWords(given)).toEqual({ shape: word, word, figures });
  });
});

describe("the sentence over the board", () => {
  const lesson = (more: Partial<LessonBody>): LessonBody => ({
    code: "K7M4X",
    createdAt: "",
    endedAt: null,
    set: { id: "tiny", title: "Tiny", minutes: 5 },
    seats: 30,
    joined: 0,
    exercises: [{ id: "crc", title: "Check", rung: "check", revealed: false, begun: 0, solved: 3, told: 0, stuck: 0 }],
    board: [],
    rungs: [],
    open: true,
    secure: false,
    addresses: [],
    ...more,
  });
  const row = (number: number, stuck = false) => ({ number, joinedAt: "", changedAt: "", cells: [cell({ stuck })] });

  it("counts seats, what is solved, and who is stuck", () => {
    expect(classSays(lesson({}))).toBe("Nobody has sat down yet.");
    expect(classSays(lesson({ board: [row(1), row(2), row(3)] }))).toBe(
      "3 seats of 30 taken, 3 of 3 exercises solved, nobody is stuck.",
    );
    expect(classSays(lesson({ board: [row(1, true), row(2), row(3, true), row(4)] }))).toBe(
      "4 seats of 30 taken, 3 of 4 exercises solved, 2 are stuck.",
    );
    expect(classSays(lesson({ board: [row(1, true)], endedAt: "2026-03-02T10:00:00Z" }))).toMatch(
      /one is stuck; the lesson has ended\.$/,
    );
  });
});

describe("seats side by side", () => {
  it("fill columns of about as many, each once and in their order, and none for a few rows", () => {
    const rows = Array.from({ length: 40 }, (_, i) => i + 1);
    for (const most of [-1, 0, 1, 2, 3, 9]) {
      const columns = inColumns(rows, most);
      expect(columns.flat()).toEqual(rows);
      expect(columns.length).toBe(Math.max(1, Math.min(most, 5)));
      const lengths = columns.map((column) => column.length);
      expect(Math.max(...lengths) - Math.min(...lengths)).toBeLessThanOrEqual(columns.length);
    }
    expect(inColumns([1, 2, 3], 3)).toEqual([[1, 2, 3]]);
    expect(inColumns([], 3)).toEqual([]);
  });
});

describe("how a board is shown on the wall", () => {
  it("is read from what the device kept, and falls back where that does not fit", () => {
    const kept = { size: "A++", contrast: "white on black" } as const;
    expect(projectorFrom(JSON.stringify(kept))).toEqual(kept);
    for (const text of [null, "", "{", "null", "[]", '{"size":"B","contrast":1}']) {
      expect(projectorFrom(text)).toEqual(DEFAULT_PROJECTOR);
    }
  });

  it("has its address without what is not typed, and its code in groups", () => {
    expect(addressInWords("http://192.0.2.2:8316/class/join#K7M4X")).toBe("http://192.0.2.2:8316/class/join");
    expect(codeInGroups("K7M4X")).toBe("K7M 4X");
  });
});

describe("pages of a lesson", () => {
  it("have addresses that lead to them, and only the student's stand alone", () => {
    for (const route of [{ page: "board", code: "K7M4X" }, { page: "join" }, { page: "seat" }] as const) {
      expect(routeOf(addressOf(route))).toEqual(route);
      expect(isOfASeat(route)).toBe(route.page !== "board");
    }
    expect(routeOf("/class/board/k7m4x")).toEqual({ page: "board", code: "K7M4X" });
    expect(entryOf({ page: "board", code: "K7M4X" })).toBe("class");
    for (const path of ["/class/board", "/class/join/x", "/class/seat/x"]) expect(routeOf(path)).toBeUndefined();
    expect([isOfASeat(undefined), isOfASeat({ page: "class" })]).toEqual([false, false]);
  });
});
