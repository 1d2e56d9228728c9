import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import type { TestFrame } from "../../decoders/workshop/testFrames.ts";
import type { Store, StoredLayout } from "../store/store.ts";
import type { LayoutEntryBody } from "./wire.ts";

/** The frame layouts that recordings and receivers are read by: those of the house and those put here. */
export interface Shelf {
  /** The newest version of each. */
  current(): readonly Layout[];
  entries(): Promise<readonly LayoutEntryBody[]>;
  /** All versions, oldest first; none where no layout has that id. */
  versions(id: string): Promise<readonly LayoutEntryBody[]>;
  /** A new version; one of the house cannot be changed. */
  add(layout: Layout, addedAt: string, tests?: readonly TestFrame[]): Promise<LayoutEntryBody>;
  /** Another server may have put some there. */
  look(): Promise<void>;
}

export async function openShelf(
  store: Pick<Store, "layouts" | "layoutVersions" | "addLayout">,
  onChange: (layouts: readonly Layout[]) => void,
  log: (entry: string) => void,
): Promise<Shelf> {
  const toldOf = new Set<string>();
  let own = await ownLayouts();

  async function ownLayouts(): Promise<readonly Layout[]> {
    return (await store.layouts()).flatMap((stored) => {
      const parsed = isBuiltin(stored.id) ? undefined : parseLayout(stored.body);
      if (parsed?.ok) return [parsed.layout];
      const name = `layout ${stored.id}, version ${stored.version}`;
      if (!toldOf.has(name)) log(`${name}, is not used: it is no layout of this version of Wheelgram`);
      toldOf.add(name);
      return [];
    });
  }

  return {
    current: () => [...builtinLayouts, ...own],
    entries: async () => [...builtinLayouts.map(houseEntry), ...(await store.layouts()).map(ownEntry)],
    async versions(id) {
      const house = builtinLayouts.find((layout) => layout.id === id);
      return house ? [houseEntry(house)] : (await store.layoutVersions(id)).map(ownEntry);
    },
    async add(layout, addedAt, tests = []) {
      if (isBuiltin(layout.id)) throw new RangeError(`layout ${layout.id} is one of the house`);
      const entry = ownEntry(await store.addLayout(layout.id, layout, addedAt, tests));
      own = await ownLayouts();
      onChange([...builtinLayouts, ...own]);
      return entry;
    },
    async look() {
      const before = JSON.stringify(own);
      own = await ownLayouts();
      if (JSON.stringify(own) !== before) onChange([...builtinLayouts, ...own]);
    },
  };
}

export function isBuiltin(id: string): boolean {
  return builtinLayouts.some((layout) => layout.id === id);
}

function houseEntry(layout: Layout): LayoutEntryBody {
  return { id: layout.id, version: 1, builtin: true, addedAt: null, layout, tests: [] };
}

function ownEntry({ id, version, addedAt, body, tests }: StoredLayout): LayoutEntryBody {
  return { id, version, builtin: false, addedAt, layout: body, tests: [...tests] };
}
