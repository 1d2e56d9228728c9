import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { layoutHash } from "../../server/study/layoutHash.ts";
import { freezeSettings, parseFrozen, parseSettings, type SettingsFile } from "../../server/study/settings.ts";

const atHand = builtinLayouts.map((layout) => ({ layout, version: null }));
const bytesOf = (value: unknown) => Buffer.from(JSON.stringify(value));

function parsed(value: unknown): SettingsFile {
  const settings = parseSettings("set.json", bytesOf(value));
  if (!settings.ok) throw settings.error;
  return settings.value;
}

function frozen(value: unknown) {
  const outcome = freezeSettings(parsed(value), atHand, { file: "set.json", title: "Yard", toolVersion: "1.2.3" });
  if (!outcome.ok) throw outcome.error;
  return outcome.value;
}

describe("settings of a study", () => {
  it("write every default out when they are frozen", () => {
    const { settings, layouts } = frozen({});
    expect(settings).toEqual({
      kind: "wheelgram study settings",
      version: 1,
      toolVersion: "1.2.3",
      title: "Yard",
      subfolders: true,
      carrierHz: null,
      raw: [],
      layouts: builtinLayouts.map((layout) => ({ id: layout.id, version: null, sha256: layoutHash(layout) })),
    });
    expect(layouts).toEqual(builtinLayouts);
  });

  it("can be given to another study as they were frozen, and come out the same", () => {
    const first = frozen({ title: "Dock", carrierHz: 315e6, raw: [{ ending: ".iq", type: "cu8", rateHz: 1e6 }] });
    expect(frozen(first.settings)).toEqual(first);
    expect(parseFrozen("set.json", bytesOf(first.settings))).toEqual({ ok: true, value: first.settings });
  });

  it("choose layouts in their own order", () => {
    const { settings, layouts } = frozen({ layouts: [{ id: "pilot-car" }, { id: "crane-tug" }] });
    expect(layouts.map(({ id }) => id)).toEqual(["pilot-car", "crane-tug"]);
    expect(settings.layouts[0]?.sha256).toMatch(/^[0-9a-f]{64}$/);
  });

  it("that are frozen leave nothing out", () => {
    const { settings } = frozen({});
    for (const key of ["toolVersion", "title", "layouts"]) {
      const { [key]: _, ...rest } = Object.fromEntries(Object.entries(settings));
      const outcome = parseFrozen("s.json", bytesOf(rest));
      expect(outcome.ok ? "" : outcome.error.message).toMatch(new RegExp(`^s\\.json: ${key}: found nothing`));
    }
  });

  it("with any one key spoilt are refused in one line that names the file and the key, or are settings all the same", () => {
    const good = frozen({ raw: [{ ending: ".iq", type: "cu8", rateHz: 1e6, carrierHz: 1 }] }).settings;
    const keys = [
      ...Object.keys(good).map((key) => [key]),
      ["raw", "0", "ending"],
      ["raw", "0", "type"],
      ["raw", "0", "x"],
    ];
    fc.assert(
      fc.property(fc.constantFrom(...keys), fc.jsonValue(), (path, value) => {
        const changed = structuredClone(good) as unknown as Record<string, unknown>;
        let at: Record<string, unknown> = changed;
        for (const key of path.slice(0, -1)) at = at[key] as Record<string, unknown>;
        at[path.at(-1) ?? ""] = value;
        const outcome = parseSettings("set.json", bytesOf(changed));
        if (outcome.ok) expect(frozenOrRefused(outcome.value)).toBe(true);
        else {
          expect(outcome.error.message).toMatch(/^set\.json: [^\n]+: found [^\n]+, allowed [^\n]+$/);
          expect(outcome.error.where).toContain(path[0]);
        }
      }),
      { numRuns: 2000 },
    );
  });

  it("of any bytes at all come back as settings or as a complaint", () => {
    const start = JSON.stringify(frozen({}).settings);
    const cut = fc.tuple(fc.nat(start.length), fc.string()).map(([at, more]) => Buffer.from(start.slice(0, at) + more));
    fc.assert(
      fc.property(fc.oneof(fc.uint8Array(), fc.json().map(Buffer.from), cut), (bytes) => {
        const outcome = parseSettings("set.json", bytes);
        if (!outcome.ok) expect(outcome.error.message).toMatch(/^set\.json: [^\n]+$/);
      }),
      { numRuns: 2000 },
    );
  });
});

describe("the hash of a layout", () => {
  it("does not hang on the order of its keys, and on everything else", () => {
    const [layout] = builtinLayouts;
    if (!layout) throw new Error("no layout");
    const turned = Object.fromEntries(Object.entries(layout).reverse());
    expect(layoutHash({ ...layout, ...turned })).toBe(layoutHash(layout));
    expect(layoutHash({ ...layout, symbolRate: layout.symbolRate + 1 })).not.toBe(layoutHash(layout));
    expect(layoutHash({ ...layout, carrierHz: [...layout.carrierHz, 1] })).not.toBe(layoutHash(layout));
  });
});

/** What was taken can be frozen, unless it names layouts that are not at hand. */
function frozenOrRefused(settings: SettingsFile): boolean {
  const outcome = freezeSettings(settings, atHand, { file: "set.json", title: "Yard", toolVersion: "1" });
  return outcome.ok || outcome.error.where.startsWith("layouts[");
}
