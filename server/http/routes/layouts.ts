import { z } from "zod";
import { LayoutShape } from "../../../decoders/layouts/schema.ts";
import { parseLayout } from "../../../decoders/layouts/validate.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { isBuiltin } from "../shelf.ts";
import { LayoutEntryBody } from "../wire.ts";

export function layoutRoutes({ shelf, stamp }: House): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/layouts",
      summary: "The layout shelf: every layout in its newest version",
      answers: { 200: { says: "Those of the house, then those put here.", body: z.array(LayoutEntryBody) } },
      handle: async () => ({ status: 200, body: await shelf.entries() }),
    }),
    route({
      method: "post",
      path: "/layouts",
      summary: "Put a layout on the shelf, or a new version of one",
      notes: `The body is a layout file. What comes in from now on is read by it; a recording that is there already is
read by it when it is analysed again. One of the house cannot be changed.`,
      body: LayoutShape,
      answers: { 201: { says: "It is on the shelf.", body: LayoutEntryBody, headers: { Location: "its address" } } },
      problems: ["conflict"],
      async handle({ body }) {
        // Keys alone fit; whether they go together is the layout's own check.
        const parsed = parseLayout(body);
        if (!parsed.ok) throw new Problem("not-fitting", "The layout does not fit.", { complaints: parsed.complaints });
        const { layout } = parsed;
        if (isBuiltin(layout.id)) {
          throw new Problem("conflict", `${layout.id} is a layout of the house, which stays as it is.`, {
            nextSteps: ["Give yours an id of its own."],
          });
        }
        const entry = await shelf.add(layout, stamp());
        return { status: 201, body: entry, headers: { Location: `/api/v1/layouts/${entry.id}` } };
      },
    }),
    route({
      method: "get",
      path: "/layouts/{id}",
      summary: "All versions of a layout, oldest first",
      answers: { 200: { says: "The versions.", body: z.array(LayoutEntryBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const versions = await shelf.versions(params["id"] ?? "");
        if (versions.length > 0) return { status: 200, body: versions };
        const nextSteps = ["See the shelf at /layouts."];
        throw new Problem("not-found", `There is no layout ${params["id"]}.`, { nextSteps });
      },
    }),
  ];
}
