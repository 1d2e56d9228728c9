import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import type { Store } from "../store/store.ts";

/** The layouts that come with Wheelgram and those that were put into the store, in their newest versions. */
export interface ShelfLayouts {
  readonly current: () => readonly Layout[];
  /** Whether there are others than before. */
  readonly look: () => Promise<boolean>;
}

export async function openShelfLayouts(store: Pick<Store, "layouts">): Promise<ShelfLayouts> {
  let layouts: readonly Layout[] = builtinLayouts;
  let versions = "";

  async function look(): Promise<boolean> {
    const stored = await store.layouts();
    const found = JSON.stringify(stored.map(({ id, version }) => [id, version]));
    if (found === versions) return false;
    versions = found;
    const own = stored.flatMap(({ id, body }) => {
      const parsed = builtinLayouts.some((one) => one.id === id) ? undefined : parseLayout(body);
      return parsed?.ok ? [parsed.layout] : [];
    });
    layouts = [...builtinLayouts, ...own];
    return true;
  }

  await look();
  return { current: () => layouts, look };
}
