import type { NoteBody, NoteChangeBody, NoteInputBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";
import { type ExportAsked, type ExportForm, exportQuery } from "../model/recording/exports.ts";

/** In order of time. */
export function notesOf(hash: string): Promise<Answer<readonly NoteBody[]>> {
  return get(of(hash));
}

export function addNote(hash: string, note: NoteInputBody): Promise<Answer<NoteBody>> {
  return send("POST", of(hash), { json: note });
}

/** Only what is named changes. */
export function changeNote(hash: string, id: string, change: NoteChangeBody): Promise<Answer<NoteBody>> {
  return send("PATCH", `${of(hash)}/${encodeURIComponent(id)}`, { json: change });
}

export function removeNote(hash: string, id: string): Promise<Answer<undefined>> {
  return send("DELETE", `${of(hash)}/${encodeURIComponent(id)}`, {});
}

/** Takes back that it was removed. */
export function restoreNote(hash: string, id: string): Promise<Answer<NoteBody>> {
  return send("POST", `${of(hash)}/${encodeURIComponent(id)}/restore`, {});
}

/** Where a file of a recording, or of a stretch of it, is to be had. */
export function exportAddress(hash: string, form: ExportForm, asked: ExportAsked): string {
  return `/api/v1/recordings/${encodeURIComponent(hash)}/export${exportQuery(form, asked)}`;
}

function of(hash: string): string {
  return `/recordings/${encodeURIComponent(hash)}/notes`;
}
