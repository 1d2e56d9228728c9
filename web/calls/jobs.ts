import type { SharePartBody } from "../../server/http/wire/share.ts";
import type {
  CurveBody,
  EarlierBody,
  JobBody,
  JobChangeBody,
  JobHistoryBody,
  JobInputBody,
  PuttingRightBody,
  RemovedJobBody,
  RunBody,
  SamplesRemovedBody,
  StoredTelegramBody,
  WheelMoreBody,
} from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";

export function jobs(): Promise<Answer<readonly JobBody[]>> {
  return get("/jobs");
}

export function job(id: string): Promise<Answer<JobBody>> {
  return get(`/jobs/${encodeURIComponent(id)}`);
}

export function addJob(card: JobInputBody): Promise<Answer<JobBody>> {
  return send("POST", "/jobs", { json: card });
}

/** A problem of status 412: somebody else changed the card after `revision`. */
export function changeJob(id: string, revision: number, change: JobChangeBody): Promise<Answer<JobBody>> {
  return send("PATCH", `/jobs/${encodeURIComponent(id)}`, { json: change, revision });
}

/** What a file for somebody else holds, by what is to be left in. */
export function shareContents(id: string, keeps: string): Promise<Answer<readonly SharePartBody[]>> {
  return get(`/jobs/${encodeURIComponent(id)}/share/contents${keeps}`);
}

export function removeJob(id: string, revision: number): Promise<Answer<undefined>> {
  return send("DELETE", `/jobs/${encodeURIComponent(id)}`, { revision });
}

/** Marks that a wheel is woken now. */
export function wakeWheel(id: string, position: string): Promise<Answer<JobBody>> {
  return send("POST", `/jobs/${encodeURIComponent(id)}/wakes`, { json: { position } });
}

/** What was done to a card, newest first. */
export function changesOf(id: string): Promise<Answer<readonly JobHistoryBody[]>> {
  return get(`/jobs/${encodeURIComponent(id)}/changes`);
}

/** Pressure and temperature of each wheel's sensor over time. */
export function curvesOf(id: string): Promise<Answer<readonly CurveBody[]>> {
  return get(`/jobs/${encodeURIComponent(id)}/curves`);
}

/** What is known of one wheel beside its line. */
export function wheelMore(id: string, slug: string): Promise<Answer<WheelMoreBody>> {
  return get(`/jobs/${encodeURIComponent(id)}/wheels/${encodeURIComponent(slug)}`);
}

/** The vehicle's list against what was heard, what to register, and how. */
export function puttingRight(id: string): Promise<Answer<PuttingRightBody>> {
  return get(`/jobs/${encodeURIComponent(id)}/putting-right`);
}

/** Earlier cards of the same plate, then of the same vehicle. */
export function earlierOf(id: string): Promise<Answer<readonly EarlierBody[]>> {
  return get(`/jobs/${encodeURIComponent(id)}/earlier`);
}

/** Wipes plate, complaint and names off a card. */
export function wipeNames(id: string, revision: number): Promise<Answer<JobBody>> {
  return send("POST", `/jobs/${encodeURIComponent(id)}/anonymous`, { revision });
}

/** The bin. */
export function removedJobs(): Promise<Answer<readonly RemovedJobBody[]>> {
  return get("/removed-jobs");
}

export function restoreJob(id: string): Promise<Answer<JobBody>> {
  return send("POST", `/removed-jobs/${encodeURIComponent(id)}/restore`, {});
}

/** When a job listened. */
export function runsOf(jobId: string): Promise<Answer<readonly RunBody[]>> {
  return get(`/jobs/${encodeURIComponent(jobId)}/runs`);
}

/** Starts listening; while a run goes on, that one is given back. */
export function startRun({ id, revision }: Pick<JobBody, "id" | "revision">): Promise<Answer<RunBody>> {
  return send("POST", `/jobs/${encodeURIComponent(id)}/runs`, { revision });
}

export function endRun({ id, revision }: Pick<JobBody, "id" | "revision">, runId: string): Promise<Answer<RunBody>> {
  return send("PATCH", `/jobs/${encodeURIComponent(id)}/runs/${encodeURIComponent(runId)}`, {
    json: { ended: true },
    revision,
  });
}

/** The newest telegrams of one sensor, from receivers and recordings alike. */
export function telegramsOf(identity: string): Promise<Answer<readonly StoredTelegramBody[]>> {
  return get(`/telegrams?identity=${encodeURIComponent(identity)}`);
}

export function telegram(id: string): Promise<Answer<StoredTelegramBody>> {
  return get(`/telegrams/${encodeURIComponent(id)}`);
}

/** Takes away every recording and job that came with the house, and nothing else. */
export function removeSamples(): Promise<Answer<SamplesRemovedBody>> {
  return send("DELETE", "/samples", {});
}
