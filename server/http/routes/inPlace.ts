import { z } from "zod";
import type { House } from "../house.ts";
import { type Route, route } from "../route.ts";
import { InPlaceBody, InPlaceFolderBody, InPlaceOpenBody } from "../wire.ts";

const PathQuery = z.strictObject({ path: z.string().min(1).max(4096) });

/** Recordings that are read where they lie. */
export function inPlaceRoutes({ inPlace, folder }: House): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/in-place",
      summary: "The files in the folder in-place of the data folder, and which of them are opened",
      notes: `Recordings that were put there are read where they lie and never copied, changed or deleted. Links to files
elsewhere are followed.`,
      answers: { 200: { says: "The files by name; none is an empty list.", body: InPlaceFolderBody } },
      handle: async () => ({ status: 200, body: { folder: folder.inPlaceDir, files: [...(await inPlace.list())] } }),
    }),
    route({
      method: "post",
      path: "/in-place",
      summary: "Open a file where it lies",
      notes:
        "It is read once, for its hash and its envelope; GET /in-place tells how far that is. Then it is a recording like any other.",
      body: InPlaceOpenBody,
      answers: { 202: { says: "It has begun.", body: InPlaceBody } },
      problems: ["not-found", "not-fitting"],
      handle: async ({ body }) => ({ status: 202, body: await inPlace.open(body) }),
    }),
    route({
      method: "delete",
      path: "/in-place",
      summary: "Stop opening a file; the file stays",
      query: PathQuery,
      answers: { 204: { says: "It stopped." } },
      problems: ["not-found"],
      async handle({ query }) {
        await inPlace.cancel(query.path);
        return { status: 204 };
      },
    }),
  ];
}
