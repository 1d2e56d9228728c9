import {
  INPUT_STATES,
  OUTCOMES,
  type Outcome,
  REACHED,
  type Reached,
  type StudyInputState,
} from "../../../server/http/wire/studies.ts";

/** What of a study is looked at: it stands in the address, so that the way back leads to it. */
export interface StudyView {
  /** Inputs in this state alone. */
  readonly state: StudyInputState | undefined;
  /** Inputs whose best came to this alone. */
  readonly reached: Reached | undefined;
  /** Bursts that came to this. */
  readonly outcome: Outcome | undefined;
  /** Bursts of this input. */
  readonly input: number | undefined;
}

export const WHOLE_STUDY: StudyView = { state: undefined, reached: undefined, outcome: undefined, input: undefined };

/** The view of an address such as `?bursts=check`; what cannot be read there is left out. */
export function studyViewOf(search: string): StudyView {
  const query = new URLSearchParams(search);
  const input = query.get("input") ?? "";
  return {
    state: INPUT_STATES.find((one) => one === query.get("state")),
    reached: REACHED.find((one) => one === query.get("reached")),
    outcome: OUTCOMES.find((one) => one === query.get("bursts")),
    input: /^(0|[1-9][0-9]{0,8})$/.test(input) ? Number(input) : undefined,
  };
}

/** The address of a study with a view; without a query for the whole of it. */
export function studyAddress(id: string, view: Partial<StudyView> = {}): string {
  const query = new URLSearchParams();
  if (view.state !== undefined) query.set("state", view.state);
  if (view.reached !== undefined) query.set("reached", view.reached);
  if (view.outcome !== undefined) query.set("bursts", view.outcome);
  if (view.input !== undefined) query.set("input", String(view.input));
  const text = query.toString();
  return `/studies/${encodeURIComponent(id)}${text === "" ? "" : `?${text}`}`;
}

/** Whether a list of bursts is asked for. */
export function showsBursts({ outcome, input }: StudyView): boolean {
  return outcome !== undefined || input !== undefined;
}
