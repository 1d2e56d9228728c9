import { NO_KEY, type PageAction, PLACES } from "./actions/action.ts";
import { otherActions } from "./actions/otherActions.ts";
import { recordingActions } from "./actions/recordingActions.ts";
import { addressOf, type Route } from "./route.ts";

export type ActionId = (typeof recordingActions)[number]["id"] | (typeof otherActions)[number]["id"];
export type Action = PageAction & { readonly id: ActionId };

/** Everything that can be done on the pages. */
export const ACTIONS: readonly Action[] = [...otherActions, ...recordingActions];

const BY_ID: ReadonlyMap<string, Action> = new Map(ACTIONS.map((action) => [action.id, action]));

export function isActionId(id: string): id is ActionId {
  return BY_ID.has(id);
}

/** @throws RangeError for an id that nobody has: a caller's bug. */
export function actionOf(id: ActionId): Action {
  const action = BY_ID.get(id);
  if (!action) throw new RangeError(`there is no action ${id}`);
  return action;
}

/** Whether an action stands on the page of a route. */
export function isHere({ place }: Action, route: Route | undefined): boolean {
  const { page } = PLACES[place];
  return page === "every" || page === route?.page;
}

/** Where somebody has to go to do it: its page, and for the links that stand around every page what they lead to. */
export function addressFor({ id, place }: Action): string {
  return LEADS_TO[id] ?? PLACES[place].href;
}

const LEADS_TO: Partial<Readonly<Record<ActionId, string>>> = {
  ...Object.fromEntries(
    (
      [
        "jobs",
        "bench",
        "recordings",
        "layouts",
        "class",
        "receivers",
        "devices",
        "studies",
        "sending",
        "settings",
        "words",
        "help",
      ] as const
    ).map((page) => [`go.${page}`, addressOf({ page })]),
  ),
  "go.keys": addressOf({ page: "keys" }),
  "go.api": "/help/api",
};

/** Whether an action leads to a page and does no more. */
export function isLink({ id }: Action): boolean {
  return LEADS_TO[id] !== undefined;
}

/**
 * The actions that fit what was typed, the best first: each word has to be found in name, place or counterpart, at the
 * start of a word before anywhere in one, or with one letter wrong, missing, too many or swapped where it has four or
 * more. Nothing typed fits all.
 */
export function matching(actions: readonly Action[], typed: string): Action[] {
  const words = wordsOf(typed);
  return actions
    .map((action, at) => ({ action, at, rank: rankOf(action, words) }))
    .filter(({ rank }) => rank !== undefined)
    .toSorted((a, b) => (a.rank ?? 0) - (b.rank ?? 0) || a.at - b.at)
    .map(({ action }) => action);
}

/** Why an action has no key, for the page of keys. */
export function whyNoKey({ noKey }: Action): string | undefined {
  return noKey && NO_KEY[noKey];
}

/** Lower is better; `undefined` where a word is nowhere. */
function rankOf(action: Action, words: readonly string[]): number | undefined {
  const name = wordsOf(action.name);
  const also = wordsOf(
    `${action.says ?? ""} ${PLACES[action.place].words} ${action.counterpart} ${ALSO[action.id] ?? ""}`,
  );
  let sum = 0;
  for (const word of words) {
    const rank = wordRank(word, name) ?? plus(wordRank(word, also), 4);
    if (rank === undefined) return undefined;
    sum += rank;
  }
  return sum;
}

function wordRank(word: string, among: readonly string[]): number | undefined {
  if (among.some((one) => one === word)) return 0;
  if (among.some((one) => one.startsWith(word))) return 1;
  if (word.length >= 3 && among.some((one) => one.includes(word))) return 2;
  if (word.length >= 4 && among.some((one) => isNear(word, one.slice(0, word.length + 1)))) return 3;
  return undefined;
}

function plus(rank: number | undefined, more: number): number | undefined {
  return rank === undefined ? undefined : rank + more;
}

function wordsOf(text: string): string[] {
  return text.toLowerCase().match(/[\p{L}\p{N}]+/gu) ?? [];
}

/** Whether one letter wrong, missing, too many or swapped makes the one of the other, or of its beginning. */
function isNear(typed: string, word: string): boolean {
  let i = 0;
  while (i < typed.length && typed[i] === word[i]) i++;
  const [restTyped, restWord] = [typed.slice(i), word.slice(i)];
  return (
    restWord.startsWith(restTyped.slice(1)) ||
    restWord.slice(1).startsWith(restTyped) ||
    restWord.slice(1).startsWith(restTyped.slice(1)) ||
    (restTyped.length > 1 &&
      restTyped[0] === restWord[1] &&
      restTyped[1] === restWord[0] &&
      restWord.slice(2).startsWith(restTyped.slice(2)))
  );
}

/** Words that somebody may look for who does not know ours. */
const ALSO: Partial<Readonly<Record<ActionId, string>>> = {
  "palette.open": "command commands menu actions find",
  "range.closer": "zoom in bigger",
  "range.wider": "zoom out smaller",
  "range.left": "move pan left scroll",
  "range.right": "move pan right scroll",
  "range.whole": "zoom reset all everything full",
  "range.back": "undo previous view",
  "range.forward": "redo next view",
  "range.exact": "exact from to go time",
  "frame.nextUnread": "failed failure error bad frame",
  "frame.nextSame": "same identity wheel",
  "frame.previousSame": "same identity wheel",
  "frame.large": "zoom fit frame",
  "frame.compare": "difference against beside",
  "mark.a": "marker cursor set",
  "mark.b": "marker cursor set",
  "mark.snap": "snap edges",
  "measure.copy": "clipboard text delta",
  "signal.share": "linear amplitude percent",
  "signal.frequency": "deviation line",
  "signal.spectrum": "spectrum band frequency",
  "value.samples": "field bits symbols",
  "picture.svg": "image export vector",
  "picture.png": "image export screenshot",
  "picture.pdf": "image export print",
  "data.csv": "export table",
  "data.sheet": "export table decimal comma",
  "data.json": "export",
  "data.lines": "export ndjson",
  "data.sigmf": "export annotations",
  "link.copy": "share address url",
  "settings.look": "dark light theme contrast",
  "settings.size": "density gloves large touch",
  "settings.pressure": "kpa psi bar",
  "settings.temperature": "celsius fahrenheit degrees",
  "go.keys": "shortcuts keyboard remap",
  "go.sending": "quick check transmitter remote key",
  "job.new": "car vehicle visit",
  "recording.add": "upload open file",
  "samples.remove": "demo example",
};
