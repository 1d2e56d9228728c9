import type { Layout } from "../../decoders/layouts/schema.ts";
import type { LayoutEntryBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";

/** A layout on the shelf; the server has checked its file. */
export type LayoutEntry = Omit<LayoutEntryBody, "layout"> & { readonly layout: Layout };

/** The newest version of each. */
export function layouts(): Promise<Answer<readonly LayoutEntry[]>> {
  return get("/layouts");
}

/** All versions of one, oldest first. */
export async function layoutVersions(id: string): Promise<Answer<readonly LayoutEntry[]>> {
  return get(`/layouts/${encodeURIComponent(id)}`);
}

/** @param file The JSON value of a layout file. */
export function addLayout(file: unknown): Promise<Answer<LayoutEntry>> {
  return send("POST", "/layouts", { json: file });
}
