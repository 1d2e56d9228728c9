import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { openShelfLayouts } from "../../server/fleet/shelfLayouts.ts";
import type { StoredLayout } from "../../server/store/store.ts";

const [first] = builtinLayouts;
const stored = (id: string, version: number, title: string): StoredLayout => ({
  id,
  version,
  addedAt: "2026-11-25T09:00:00.000000Z",
  body: { ...first, id, title },
  tests: [],
});

describe("the layouts that a worker reads by", () => {
  it("are those of the house, and in time those that somebody put on the shelf of a server", async () => {
    let layouts: StoredLayout[] = [];
    const shelf = await openShelfLayouts({ layouts: async () => layouts });
    expect(shelf.current()).toEqual(builtinLayouts);
    expect(await shelf.look()).toBe(false);
    layouts = [stored("yard-car", 1, "first")];
    expect(await shelf.look()).toBe(true);
    expect(shelf.current().at(-1)).toMatchObject({ id: "yard-car", title: "first" });
    layouts = [stored("yard-car", 2, "second")];
    expect(await shelf.look()).toBe(true);
    expect(shelf.current()).toHaveLength(builtinLayouts.length + 1);
    expect(shelf.current().at(-1)).toMatchObject({ title: "second" });
  });

  it("are without what is no layout, and what bears the name of one of the house", async () => {
    const bad = { ...stored("no-layout", 1, ""), body: { id: "no-layout" } };
    const shelf = await openShelfLayouts({ layouts: async () => [bad, stored(first?.id ?? "", 1, "another")] });
    expect(shelf.current()).toEqual(builtinLayouts);
  });
});
