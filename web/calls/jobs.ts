import type { z } from "zod";
import type { JobBody, JobInputBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";
import type { JobChange } from "../model/jobChange.ts";

export type Job = z.infer<typeof JobBody>;

export function jobs(): Promise<Answer<readonly Job[]>> {
  return get("/jobs");
}

export function job(id: string): Promise<Answer<Job>> {
  return get(`/jobs/${encodeURIComponent(id)}`);
}

export function addJob(card: JobInputBody): Promise<Answer<Job>> {
  return send("POST", "/jobs", { json: card });
}

/** A problem of status 412: somebody else changed the card after `revision`. */
export function changeJob(id: string, revision: number, change: JobChange): Promise<Answer<Job>> {
  return send("PATCH", `/jobs/${encodeURIComponent(id)}`, { json: change, revision });
}

export function removeJob(id: string, revision: number): Promise<Answer<undefined>> {
  return send("DELETE", `/jobs/${encodeURIComponent(id)}`, { revision });
}

/** The newest telegrams of one sensor, from receivers and recordings alike. */
export function telegramsOf(identity: string): Promise<Answer<readonly StoredTelegramBody[]>> {
  return get(`/telegrams?identity=${encodeURIComponent(identity)}`);
}

export function telegram(id: string): Promise<Answer<StoredTelegramBody>> {
  return get(`/telegrams/${encodeURIComponent(id)}`);
}

/** Takes away every recording and job that came with the house, and nothing else. */
export function removeSamples(): Promise<Answer<{ readonly recordings: number; readonly jobs: number }>> {
  return send("DELETE", "/samples", {});
}
