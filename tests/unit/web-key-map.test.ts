import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ACTIONS, type ActionId } from "../../web/model/actions.ts";
import {
  actionOfKey,
  chordOf,
  chordWords,
  conflictsOf,
  DEFAULT_KEY_MAP,
  type KeyMap,
  keyMapFrom,
  keyOf,
  withDefaultKey,
  withKey,
  withoutKey,
} from "../../web/model/keyMap.ts";
import { rangeByKey } from "../../web/model/recording/rangeKeys.ts";

const press = (key: string, held: object = {}) => ({ key, ...held });

/** @throws Error where it is refused. */
function mapped(map: KeyMap, id: ActionId, key: string, held: object = {}): KeyMap {
  const remapped = withKey(map, id, press(key, held));
  if (!remapped.ok) throw new Error(remapped.because);
  return remapped.map;
}

describe("a press of a key", () => {
  it.each([
    [press("n"), "n"],
    [press("N"), "n"], // Caps Lock
    [press("N", { shiftKey: true }), "Shift+N"],
    [press("+", { shiftKey: true }), "+"], // Shift types the sign
    [press("k", { ctrlKey: true }), "Ctrl+K"],
    [press("k", { metaKey: true }), "Ctrl+K"],
    [press("Backspace", { shiftKey: true }), "Shift+Backspace"],
    [press("ä"), "ä"],
  ])("%j is written %s", (event, chord) => {
    expect(chordOf(event)).toBe(chord);
  });

  it("is named as on a keyboard", () => {
    expect(["Ctrl+K", "PageUp", "+", "Shift+Backspace", "n"].map(chordWords)).toEqual([
      "Ctrl + K",
      "Page Up",
      "+",
      "Shift + Backspace",
      "N",
    ]);
  });

  it("means something only in its place", () => {
    expect(actionOfKey(DEFAULT_KEY_MAP, press("a"), "signal")).toBe("mark.a");
    expect(actionOfKey(DEFAULT_KEY_MAP, press("a"), "lines")).toBeUndefined();
    expect(actionOfKey(DEFAULT_KEY_MAP, press("a"), "anywhere")).toBeUndefined();
    expect(actionOfKey(DEFAULT_KEY_MAP, press("k", { metaKey: true }), "anywhere")).toBe("palette.open");
    expect(actionOfKey(DEFAULT_KEY_MAP, press("n", { ctrlKey: true }), "signal")).toBeUndefined();
  });

  it("of a letter, digit or sign alone means nothing where those are turned off; others still do", () => {
    const off = { ...DEFAULT_KEY_MAP, singleKeys: false };
    for (const action of ACTIONS) {
      for (const place of action.keyPlaces) {
        for (const key of ["n", "+", "0", "/"]) expect(actionOfKey(off, press(key), place)).toBeUndefined();
      }
    }
    expect(actionOfKey(off, press("N", { shiftKey: true }), "signal")).toBeUndefined();
    expect(actionOfKey(off, press("PageUp"), "signal")).toBe("range.left");
    expect(keyOf(off, "frame.next")).toBeUndefined();
    expect(keyOf(DEFAULT_KEY_MAP, "frame.next")).toBe("N");
  });
});

describe("another key", () => {
  it("takes the place of all that an action had, and the drawing asks for it", () => {
    const map = mapped(DEFAULT_KEY_MAP, "range.closer", "g");
    const bounds = { seconds: 2, leastSeconds: 0.001 };
    const all = { fromSeconds: 0, toSeconds: 2 };
    expect(rangeByKey(press("g"), all, bounds, 1, map)).toEqual({ fromSeconds: 0.5, toSeconds: 1.5 });
    expect(rangeByKey(press("+"), all, bounds, 1, map)).toBeUndefined();
    expect(rangeByKey("+", all, bounds, 1)).toEqual({ fromSeconds: 0.5, toSeconds: 1.5 });
  });

  it("that is taken in the same place is refused by name", () => {
    const refused = withKey(DEFAULT_KEY_MAP, "range.closer", press("n"));
    expect(refused).toEqual({ ok: false, because: "N is taken by “Next frame”.", taken: "frame.next" });
  });

  it("may be that of an action in another band", () => {
    expect(mapped(DEFAULT_KEY_MAP, "lines.order", "a").changed["lines.order"]).toEqual(["a"]);
  });

  it.each([
    ["Enter", {}],
    ["ArrowLeft", {}],
    ["Tab", {}],
    ["Shift", { shiftKey: true }],
    ["F5", {}],
    ["w", { ctrlKey: true }],
    ["n", { altKey: true }],
  ])("is never %s (%j)", (key, held) => {
    expect(withKey(DEFAULT_KEY_MAP, "frame.next", press(key, held)).ok).toBe(false);
  });

  it("for every page needs Ctrl, and leaves the browser its own", () => {
    expect(withKey(DEFAULT_KEY_MAP, "palette.open", press("p")).ok).toBe(false);
    expect(withKey(DEFAULT_KEY_MAP, "palette.open", press("t", { ctrlKey: true })).ok).toBe(false);
    expect(withKey(DEFAULT_KEY_MAP, "palette.open", press("j", { ctrlKey: true })).ok).toBe(true);
  });

  it("is none for what stands in no band", () => {
    expect(withKey(DEFAULT_KEY_MAP, "job.new", press("q")).ok).toBe(false);
  });

  it("goes back to the one it came with, and so does whoever took that", () => {
    const freed = withoutKey(DEFAULT_KEY_MAP, "frame.next");
    const taken = mapped(freed, "range.closer", "n");
    const back = withDefaultKey(taken, "frame.next");
    expect(back).toEqual(DEFAULT_KEY_MAP);
    const other = mapped(DEFAULT_KEY_MAP, "frame.large", "q");
    expect(withDefaultKey(mapped(other, "range.closer", "g"), "range.closer")).toEqual(other);
  });
});

describe("the keys that a device keeps", () => {
  it("come back as they were", () => {
    const map = { ...mapped(withoutKey(DEFAULT_KEY_MAP, "frame.next"), "range.closer", "n"), singleKeys: false };
    expect(keyMapFrom(JSON.stringify(map))).toEqual(map);
  });

  it("are those they came with where nothing, or nonsense, is kept", () => {
    for (const text of [null, "", "{", "[]", '{"changed":7}', '{"changed":{"nobody":["x"],"frame.next":["Tab"]}}']) {
      expect(keyMapFrom(text)).toEqual(DEFAULT_KEY_MAP);
    }
    // Two of one key in one place: nobody can say which was meant.
    expect(keyMapFrom('{"changed":{"frame.next":["q"],"frame.large":["q"]}}')).toEqual(DEFAULT_KEY_MAP);
  });

  it("never mean two things in one place, whatever is asked for", () => {
    const ids = ACTIONS.map(({ id }) => id);
    const step = fc.tuple(
      fc.constantFrom(...ids),
      fc.constantFrom("n", "q", "+", "PageUp", "a", "0", "Backspace"),
      fc.constantFrom("key", "none", "default"),
    );
    fc.assert(
      fc.property(fc.array(step, { maxLength: 30 }), (steps) => {
        let map = DEFAULT_KEY_MAP;
        for (const [id, key, what] of steps) {
          if (what === "none") map = withoutKey(map, id);
          else if (what === "default") map = withDefaultKey(map, id);
          else {
            const remapped = withKey(map, id, press(key));
            if (remapped.ok) map = remapped.map;
          }
        }
        expect(conflictsOf(map)).toEqual([]);
        expect(keyMapFrom(JSON.stringify(map))).toEqual(map);
      }),
    );
  });
});
