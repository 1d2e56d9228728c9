import type { WorkedOut } from "../../decoders/workshop/workOut.ts";
import type { Decided, Worksheet } from "../../decoders/workshop/worksheet.ts";
import type { StoredWorksheetBody, UnreadBody, WorksheetHeadBody } from "../../server/http/wire/workshop.ts";
import { type Answer, get, send } from "../api.ts";
import type { LayoutEntry } from "./layouts.ts";

export type StoredSheet = Omit<StoredWorksheetBody, "worksheet"> & { readonly worksheet: Worksheet };
/** What a worksheet came to, and of which of its revisions. */
export type WorkedSheet = WorkedOut & { readonly revision: number };

/** Changed last first. */
export function worksheets(): Promise<Answer<readonly WorksheetHeadBody[]>> {
  return get("/worksheets");
}

/** Recordings with bursts that nothing reads, those with most first. */
export function unread(): Promise<Answer<readonly UnreadBody[]>> {
  return get("/unread");
}

/** Empty with a title, with what a job's visits heard, or as a file has it. */
export function addWorksheet(
  from: { readonly title: string } | { readonly job: string } | { readonly worksheet: unknown },
): Promise<Answer<WorksheetHeadBody>> {
  return send("POST", "/worksheets", { json: from });
}

export function worksheet(id: string): Promise<Answer<StoredSheet>> {
  return get(of(id));
}

export function removeWorksheet(id: string, revision: number): Promise<Answer<undefined>> {
  return send("DELETE", of(id), { revision });
}

/** Takes back that it was removed. */
export function restoreWorksheet(id: string): Promise<Answer<StoredSheet>> {
  return send("POST", `${of(id)}/restore`, {});
}

export type SheetStep =
  | { readonly says: string; readonly change: Partial<Decided> }
  | { readonly title: string }
  | { readonly takeBack: true }
  | { readonly doAgain: true };

/** A problem of status 412: somebody else went on from that revision. */
export async function stepWorksheet(sheet: StoredSheet, step: SheetStep): Promise<Answer<StoredSheet>> {
  const answer = await send<WorksheetHeadBody & Pick<Worksheet, "now" | "done" | "takenBack">>(
    "POST",
    `${of(sheet.id)}/steps`,
    { json: step, revision: sheet.revision },
  );
  if (!answer.ok) return answer;
  const { now, done, takenBack, ...head } = answer.value;
  return { ok: true, value: { ...head, worksheet: { ...sheet.worksheet, title: head.title, now, done, takenBack } } };
}

export type Brought =
  | { readonly recordings: readonly string[] }
  | { readonly receivers: readonly string[]; readonly minutes: number };

export function bringBursts(id: string, revision: number, from: Brought): Promise<Answer<StoredSheet>> {
  return send("POST", `${of(id)}/bursts`, { json: from, revision });
}

/** @param text A table of time, kPa and °C. */
export function bringGaugeLog(id: string, revision: number, name: string, text: string): Promise<Answer<StoredSheet>> {
  return send("POST", `${of(id)}/logs`, { json: { name, text }, revision });
}

export function workedOut(id: string): Promise<Answer<WorkedSheet>> {
  return get(`${of(id)}/worked-out`);
}

export function putOnShelf(id: string, revision: number): Promise<Answer<LayoutEntry>> {
  return send("POST", `${of(id)}/shelf`, { revision });
}

function of(id: string): string {
  return `/worksheets/${encodeURIComponent(id)}`;
}
