import { z } from "zod";
import type { House } from "../house.ts";
import { type Route, route } from "../route.ts";
import type { UploadLimits } from "../upload.ts";
import { UploadBody, UploadNewBody } from "../wire.ts";

const NOTES = `For recordings of any size up to the limit, over a connection that may break. Say what will come with POST;
send it with PATCH in as many pieces as you like, each from the offset that was told last. Every piece is on disk before
it is acknowledged, and what came of one that broke off counts. When the last byte is here the recording is hashed and
kept; GET tells how far that is. Metadata and samples of a SigMF recording go one after the other, as with POST
/recordings. The server may be started anew in between.`;

const OffsetQuery = z.strictObject({ offset: z.int().min(0) });

/** Recordings that are sent in pieces. */
export function uploadRoutes({ uploads }: House, limits: UploadLimits): readonly Route[] {
  const location = ({ id }: UploadBody) => ({ Location: `/api/v1/uploads/${id}` });
  return [
    route({
      method: "get",
      path: "/uploads",
      summary: "Uploads in pieces that are under way or were over within a week",
      answers: { 200: { says: "The uploads; none is an empty list.", body: z.array(UploadBody) } },
      handle: async () => ({ status: 200, body: uploads.list() }),
    }),
    route({
      method: "post",
      path: "/uploads",
      summary: "Begin to send a recording in pieces, or go on with one that was broken off",
      notes: `${NOTES} At most ${limits.maxBytes} bytes.`,
      body: UploadNewBody,
      answers: {
        201: { says: "It may come.", body: UploadBody, headers: { Location: "its address" } },
        200: {
          says: "A part of this very file is here already, or its samples are: see state and offset.",
          body: UploadBody,
          headers: { Location: "its address" },
        },
      },
      problems: ["too-large", "no-recording", "no-room", "conflict"],
      async handle({ body }) {
        const { upload, isNew } = await uploads.begin(body, limits);
        return { status: isNew ? 201 : 200, body: upload, headers: location(upload) };
      },
    }),
    route({
      method: "get",
      path: "/uploads/{id}",
      summary: "How far an upload is",
      answers: { 200: { says: "The upload.", body: UploadBody } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: uploads.one(params["id"] ?? "") }),
    }),
    route({
      method: "patch",
      path: "/uploads/{id}",
      summary: "Send a piece",
      notes: `The body is the bytes from ?offset= on. Another offset than that of the upload is refused, and the right one
named. An upload that stands still with all bytes here, as on a full disk, is tried again by an empty piece.`,
      query: OffsetQuery,
      body: "octets",
      answers: { 200: { says: "All of the piece is on disk.", body: UploadBody } },
      problems: ["not-found", "not-fitting", "conflict", "too-large", "too-slow", "no-room"],
      async handle({ params, query, request }) {
        return { status: 200, body: await uploads.take(params["id"] ?? "", query.offset, request, limits) };
      },
    }),
    route({
      method: "delete",
      path: "/uploads/{id}",
      summary: "Take an upload away; a recording that it became stays",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params }) {
        await uploads.remove(params["id"] ?? "");
        return { status: 204 };
      },
    }),
  ];
}
