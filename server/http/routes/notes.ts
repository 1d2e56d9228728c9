import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { NoteBody, NoteInputBody } from "../wire.ts";

export function noteRoutes({ store }: House): readonly Route[] {
  async function hashOf(hash: string | undefined): Promise<string> {
    if ((await store.recording(hash ?? "")) === undefined) {
      throw new Problem("not-found", `There is no recording ${hash}.`, { nextSteps: ["See the list at /recordings."] });
    }
    return hash ?? "";
  }

  function missing(id: string | undefined): Problem {
    return new Problem("not-found", `There is no note ${id} on that recording.`);
  }

  return [
    route({
      method: "get",
      path: "/recordings/{hash}/notes",
      summary: "The notes on a recording, in order of time",
      answers: { 200: { says: "The notes; none is an empty list.", body: z.array(NoteBody) } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await store.notesOf(await hashOf(params["hash"])) }),
    }),
    route({
      method: "post",
      path: "/recordings/{hash}/notes",
      summary: "Write a note",
      body: NoteInputBody,
      answers: { 201: { says: "The note, with its id.", body: NoteBody, headers: { Location: "its address" } } },
      problems: ["not-found"],
      async handle({ params, body }) {
        const hash = await hashOf(params["hash"]);
        const note = { id: randomUUID().slice(0, 8), ...inOrder(body) };
        await store.putNote(hash, note);
        return { status: 201, body: note, headers: { Location: `/api/v1/recordings/${hash}/notes/${note.id}` } };
      },
    }),
    route({
      method: "put",
      path: "/recordings/{hash}/notes/{note}",
      summary: "Write a note anew",
      body: NoteInputBody,
      answers: { 200: { says: "The note as it is now.", body: NoteBody } },
      problems: ["not-found"],
      async handle({ params, body }) {
        const hash = await hashOf(params["hash"]);
        const id = (await store.notesOf(hash)).find((note) => note.id === params["note"])?.id;
        if (id === undefined) throw missing(params["note"]);
        const note = { id, ...inOrder(body) };
        await store.putNote(hash, note);
        return { status: 200, body: note };
      },
    }),
    route({
      method: "delete",
      path: "/recordings/{hash}/notes/{note}",
      summary: "Remove a note",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params }) {
        if (!(await store.removeNote(await hashOf(params["hash"]), params["note"] ?? "")))
          throw missing(params["note"]);
        return { status: 204 };
      },
    }),
  ];
}

function inOrder(note: NoteInputBody): NoteInputBody {
  if (note.toSeconds >= note.fromSeconds) return note;
  throw new Problem("not-fitting", "The note ends before it begins.", {
    complaints: [{ path: "toSeconds", found: String(note.toSeconds), allowed: `at least ${note.fromSeconds}` }],
  });
}
