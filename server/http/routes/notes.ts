import { randomUUID } from "node:crypto";
import { z } from "zod";
import type { StoredNote, StoredRecording } from "../../store/store.ts";
import type { House } from "../house.ts";
import { changedNote, newNote, noteBody } from "../noteText.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { NoteBody, NoteChangeBody, NoteInputBody } from "../wire.ts";

/** What readers are bound to show of a label. @source SigMF specification 1.2.5, core:label. */
const LABEL_CHARACTERS = 20;

const WHERE = `Where it lies is told in seconds, which are rounded to the nearest sample, or in samples, which are exact
and come first. Every key of ?more is one of SigMF, by namespace and name, with any JSON value. The label has at most
${LABEL_CHARACTERS} characters.`;

export function noteRoutes({ store }: House): readonly Route[] {
  async function recordingOf(hash: string | undefined): Promise<StoredRecording> {
    const recording = await store.recording(hash ?? "");
    if (recording) return recording;
    throw new Problem("not-found", `There is no recording ${hash}.`, { nextSteps: ["See the list at /recordings."] });
  }

  async function noteOf(hash: string, id: string | undefined): Promise<StoredNote> {
    const note = (await store.notesOf(hash)).find((one) => one.id === id);
    if (note) return note;
    throw missing(id);
  }

  function missing(id: string | undefined): Problem {
    return new Problem("not-found", `There is no note ${id} on that recording.`, {
      nextSteps: ["See the list at /recordings/{hash}/notes."],
    });
  }

  async function change(params: Readonly<Record<string, string>>, body: NoteChangeBody) {
    const recording = await recordingOf(params["hash"]);
    const before = await noteOf(recording.hash, params["note"]);
    const now = noteBody(before, recording);
    refuse(body, now, recording);
    const after = changedNote(before, body, recording);
    await store.putNotes(recording.hash, [after]);
    return { status: 200, body: noteBody(after, recording) };
  }

  return [
    route({
      method: "get",
      path: "/recordings/{hash}/notes",
      summary: "The notes on a recording, in order of time",
      notes: `Each is a SigMF annotation; those that a file came with are among them, but for the bursts that analysis
marks by itself.`,
      answers: { 200: { says: "The notes; none is an empty list.", body: z.array(NoteBody) } },
      problems: ["not-found"],
      async handle({ params }) {
        const recording = await recordingOf(params["hash"]);
        const notes = await store.notesOf(recording.hash);
        return { status: 200, body: notes.map((note) => noteBody(note, recording)) };
      },
    }),
    route({
      method: "post",
      path: "/recordings/{hash}/notes",
      summary: "Write a note",
      notes: WHERE.replace("?more", "more"),
      body: NoteInputBody,
      answers: { 201: { says: "The note, with its id.", body: NoteBody, headers: { Location: "its address" } } },
      problems: ["not-found"],
      async handle({ params, body }) {
        const recording = await recordingOf(params["hash"]);
        whole(body);
        refuse(body, undefined, recording);
        const id = randomUUID().replaceAll("-", "").slice(0, 12);
        const note = newNote(id, { ...body, uuid: body.uuid ?? randomUUID() }, recording);
        await store.putNotes(recording.hash, [note]);
        const headers = { Location: `/api/v1/recordings/${recording.hash}/notes/${id}` };
        return { status: 201, body: noteBody(note, recording), headers };
      },
    }),
    route({
      method: "put",
      path: "/recordings/{hash}/notes/{note}",
      summary: "Write a note anew",
      notes: "Keys that are not named here, as a file may have brought them, stay.",
      body: NoteInputBody,
      answers: { 200: { says: "The note as it is now.", body: NoteBody } },
      problems: ["not-found"],
      async handle({ params, body }) {
        whole(body);
        return change(params, body);
      },
    }),
    route({
      method: "patch",
      path: "/recordings/{hash}/notes/{note}",
      summary: "Change a part of a note",
      notes: "Only what is named changes; null takes a key away.",
      body: NoteChangeBody,
      answers: { 200: { says: "The note as it is now.", body: NoteBody } },
      problems: ["not-found"],
      handle: ({ params, body }) => change(params, body),
    }),
    route({
      method: "delete",
      path: "/recordings/{hash}/notes/{note}",
      summary: "Remove a note",
      notes: "Until the next start of the server it can be taken back.",
      answers: { 204: { says: "It is gone." } },
      problems: ["not-found"],
      async handle({ params }) {
        const { hash } = await recordingOf(params["hash"]);
        if (!(await store.removeNote(hash, params["note"] ?? ""))) throw missing(params["note"]);
        return { status: 204 };
      },
    }),
    route({
      method: "post",
      path: "/recordings/{hash}/notes/{note}/restore",
      summary: "Take back that a note was removed",
      answers: { 200: { says: "The note as it was.", body: NoteBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const recording = await recordingOf(params["hash"]);
        if (!(await store.restoreNote(recording.hash, params["note"] ?? ""))) throw missing(params["note"]);
        return { status: 200, body: noteBody(await noteOf(recording.hash, params["note"]), recording) };
      },
    }),
  ];
}

/** A note that is written as a whole says where it begins and ends. */
function whole(body: NoteInputBody): void {
  const said = (a: number | undefined, b: number | undefined) => a !== undefined || b !== undefined;
  if (!said(body.fromSample, body.fromSeconds)) throw unfit("It does not say where it begins.", "fromSeconds");
  if (!said(body.sampleCount, body.toSeconds)) throw unfit("It does not say where it ends.", "toSeconds");
}

/** What no annotation may be. What a file brought in spite of it stays, as long as nobody writes it anew. */
function refuse(body: NoteChangeBody, now: NoteBody | undefined, recording: StoredRecording): void {
  const { fromSeconds = now?.fromSeconds ?? 0, toSeconds, fromSample, sampleCount, label } = body;
  if (toSeconds !== undefined && body.sampleCount === undefined && toSeconds < fromSeconds) {
    throw unfit("The note ends before it begins.", "toSeconds", toSeconds, `at least ${fromSeconds}`);
  }
  const { sampleRateHz, sampleCount: samples } = recording;
  const last = samples / sampleRateHz;
  if (body.fromSeconds !== undefined && fromSample === undefined && body.fromSeconds > last) {
    throw unfit("The recording ends before the note begins.", "fromSeconds", body.fromSeconds, `at most ${last}`);
  }
  if (fromSample !== undefined && fromSample > samples) {
    throw unfit("The recording ends before the note begins.", "fromSample", fromSample, `at most ${samples}`);
  }
  const from = fromSample ?? (body.fromSeconds === undefined ? now?.fromSample : body.fromSeconds * sampleRateHz) ?? 0;
  if (sampleCount !== undefined && sampleCount !== now?.sampleCount && from + sampleCount > samples) {
    const most = Math.max(0, Math.floor(samples - from));
    throw unfit("The recording ends before the note does.", "sampleCount", sampleCount, `at most ${most}`);
  }
  if (label !== undefined && label !== now?.label && [...label].length > LABEL_CHARACTERS) {
    throw unfit("The label is too long.", "label", label, `at most ${LABEL_CHARACTERS} characters`);
  }
  for (const [key, value] of Object.entries(body.more ?? {})) {
    if (depthOf(value) > MOST_DEPTH)
      throw unfit("A key is nested too deep.", `more.${key}`, "more", `${MOST_DEPTH} deep`);
  }
  const { lowHz = now?.lowHz ?? null, highHz = now?.highHz ?? null } = body;
  if ((body.lowHz === undefined && body.highHz === undefined) || (lowHz === null && highHz === null)) return;
  if (lowHz === null || highHz === null) {
    throw unfit("A note has both edges of its band or neither.", lowHz === null ? "lowHz" : "highHz", null, "a number");
  }
  if (lowHz > highHz) throw unfit("The band ends below where it begins.", "highHz", highHz, `at least ${lowHz}`);
}

/** What is written has to be read again, and a reader of JSON stops somewhere. */
const MOST_DEPTH = 64;

function depthOf(value: unknown): number {
  if (typeof value !== "object" || value === null) return 0;
  return 1 + Math.max(0, ...Object.values(value).map(depthOf));
}

function unfit(says: string, path: string, found?: string | number | null, allowed = "a number"): Problem {
  const complaint = { path, found: found === undefined ? "nothing" : String(found), allowed };
  return new Problem("not-fitting", says, { complaints: [complaint] });
}
