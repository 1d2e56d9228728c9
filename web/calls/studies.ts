import type {
  StudyBody,
  StudyBurstBody,
  StudyHeadBody,
  StudyInputsBody,
  StudyNewBody,
  StudyResultFileBody,
  StudySettingsBody,
} from "../../server/http/wire/studies.ts";
import { type Answer, get, getText, send } from "../api.ts";
import type { StudyView } from "../model/study/address.ts";

export function studies(): Promise<Answer<readonly StudyHeadBody[]>> {
  return get("/studies");
}

export function study(id: string): Promise<Answer<StudyBody>> {
  return get(of(id));
}

/** Every setting with its default. */
export function studySettings(): Promise<Answer<StudySettingsBody>> {
  return get("/study-settings");
}

export function addStudy(study: StudyNewBody): Promise<Answer<StudyHeadBody>> {
  return send("POST", "/studies", { json: study });
}

/** Goes on with what waits, or also with what failed. */
export function startStudy(id: string, retryFailed: boolean): Promise<Answer<StudyHeadBody>> {
  return send("POST", `${of(id)}/start`, { json: { retryFailed } });
}

export function stopStudy(id: string): Promise<Answer<StudyHeadBody>> {
  return send("POST", `${of(id)}/stop`, {});
}

export function removeStudy(id: string): Promise<Answer<undefined>> {
  return send("DELETE", of(id), {});
}

/** @param after The index after which the page begins; `undefined` for the first one. */
export function studyInputs(
  id: string,
  { state, reached }: Pick<StudyView, "state" | "reached">,
  after: number | undefined,
): Promise<Answer<StudyInputsBody>> {
  return get(`${of(id)}/inputs?${queryOf({ state, reached, after, limit: INPUTS_A_PAGE })}`);
}

const INPUTS_A_PAGE = 50;

export function studyBursts(
  id: string,
  { outcome, input }: Pick<StudyView, "outcome" | "input">,
  after: string | undefined,
): Promise<Answer<readonly StudyBurstBody[]>> {
  return get(`${of(id)}/bursts?${queryOf({ outcome, input, after, limit: BURSTS_A_PAGE })}`);
}

export const BURSTS_A_PAGE = 50;

export function studyResults(id: string): Promise<Answer<readonly StudyResultFileBody[]>> {
  return get(`${of(id)}/results`);
}

export function studyStatistics(id: string): Promise<Answer<unknown>> {
  return get(`${of(id)}/results/statistics.json`);
}

export function studyManifest(id: string): Promise<Answer<unknown>> {
  return get(`${of(id)}/results/manifest.json`);
}

/** A plot as the text of its SVG. */
export function studyPlot(id: string, name: string): Promise<Answer<string>> {
  return getText(`${of(id)}/results/${encodeURIComponent(name)}`);
}

/** Where a result file is to be had. */
export function resultAddress(id: string, name: string): string {
  return `/api/v1${of(id)}/results/${encodeURIComponent(name)}`;
}

/** Where all of them are to be had in one. */
export function resultsAddress(id: string): string {
  return `/api/v1${of(id)}/results.tar`;
}

function of(id: string): string {
  return `/studies/${encodeURIComponent(id)}`;
}

function queryOf(parts: Readonly<Record<string, string | number | undefined>>): URLSearchParams {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(parts)) if (value !== undefined) query.set(name, String(value));
  return query;
}
