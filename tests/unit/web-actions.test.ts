import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { NO_COUNTERPART, NO_KEY, PLACES } from "../../web/model/actions/action.ts";
import { ACTIONS, type Action, addressFor, isHere, isLink, matching } from "../../web/model/actions.ts";
import { conflictsOf, DEFAULT_KEY_MAP, isSingle } from "../../web/model/keyMap.ts";
import { routeOf } from "../../web/model/route.ts";
import { seenWords } from "../support/seen-words.ts";

const top = fileURLToPath(new URL("../..", import.meta.url));

/** What can be read in the pages' sources, but for the list of actions itself and what shows it. */
const seen = readdirSync(join(top, "web"), { recursive: true, encoding: "utf8" })
  .map((name) => name.replaceAll("\\", "/"))
  .filter((name) => /\.tsx?$/.test(name) && !/^(model\/actions|views\/palette|model\/keyMap)/.test(name))
  .map((name) => ({ name, ...seenWords(name, readFileSync(join(top, "web", name), "utf8")) }));
const buttons = new Set(
  seen.flatMap(({ things }) => things.filter(({ element }) => element === "button").map(({ words }) => words)),
);

/** Where the sources of a page lie; parts that all share lie in `views/` itself. */
const SOURCES: Readonly<Record<(typeof PLACES)[keyof typeof PLACES]["page"], RegExp>> = {
  every: /^(Shell\.tsx|pages\/HelpPage\.tsx|views\/[^/]+\.tsx)$/,
  recording: /^(pages\/recordings|views\/recording|views\/compare|model\/recording)\//,
  recordings: /^pages\/recordings\//,
  studies: /^pages\/studies\//,
  newStudy: /^pages\/studies\//,
  study: /^pages\/studies\//,
  compare: /^(pages|views)\/compare\//,
  jobs: /^pages\/jobs\//,
  job: /^(pages\/jobs\/|model\/|views\/[^/]+\.tsx$)/,
  wheel: /^pages\/jobs\//,
  bench: /^pages\/bench\//,
  lot: /^pages\/bench\//,
  lotRecord: /^pages\/bench\//,
  specimen: /^pages\/bench\//,
  board: /^pages\/class\//,
  join: /^pages\/class\/JoinPage/,
  seat: /^pages\/class\/SeatPage/,
  class: /^pages\/class\//,
  exerciseSet: /^pages\/class\//,
  exercise: /^(pages|views)\/class\//,
  exerciseEditor: /^pages\/class\//,
  sending: /^(pages|model)\/sending\//,
  layouts: /^pages\/layouts\//,
  worksheet: /^pages\/workshop\//,
  collisions: /^pages\/class\/Collisions|^(model|views)\/class\//,
  make: /^pages\/class\/Mak|^(model|views)\/class\//,
  devices: /pages\/devices\/(DevicesPage|DeviceEntry|LetIn)/,
  fleet: /^pages\/fleet\//,
  pair: /pages\/devices\/PairPage/,
  twoBands: /^pages\/class\/(TwoBandsPage|Band)/,
  receivers: /^pages\/receivers\//,
  settings: /^pages\/(SettingsPage|KeepingSection)/,
  keys: /^pages\/keys\//,
};
const textsOf = (action: Action) =>
  seen.filter(({ name }) => SOURCES[PLACES[action.place].page].test(name)).flatMap(({ all }) => [...all]);

const saysOf = ({ says, name }: Action) => says ?? name;
const fits = (says: string, words: string) =>
  says.endsWith("…") ? words.startsWith(says.slice(0, -1).trim()) : words === says;

/** Buttons that are a step inside something that an action has opened, and mean nothing without it. */
const STEPS: readonly string[] = [
  "Add it",
  "As it came",
  "Change",
  "Close",
  "Down",
  "Heard on no wheel:",
  "It is right, write it down",
  "It does not count",
  "Keep what is there",
  "Leave as it was",
  "Leave it",
  "Leave it out",
  "Name these bits",
  "Look again",
  "No key",
  "No sensor ID",
  "Not yet",
  "Press the new key; Esc leaves it",
  "Put it on the shelf",
  "Put it on this wheel",
  "Put on",
  "Read this gauge",
  "Take it from “ ”",
  "Take over what it says",
  "Take off",
  "Add",
  "Try again",
  "Go on without it",
  "Keep the note",
  "Send it all the same",
  "Show",
  "Show it",
  "Take away",
  "Up",
  "Write it down",
  "Write yours over it",
];

describe("the list of actions", () => {
  it("names each once, in plain words, with a place", () => {
    expect(ACTIONS.length).toBeGreaterThan(90);
    expect(new Set(ACTIONS.map(({ id }) => id)).size).toBe(ACTIONS.length);
    expect(new Set(ACTIONS.map(({ name, place }) => `${name} ${place}`)).size).toBe(ACTIONS.length);
    for (const { name, place } of ACTIONS) {
      expect(name, name).toMatch(/^[A-Z].{2,}[^.]$/);
      expect(PLACES[place].words, name).toMatch(/^[A-Z]/);
    }
  });

  it("gives each a key or why it has none, never both", () => {
    for (const { id, keys, keyPlaces, noKey } of ACTIONS) {
      expect([keys.length > 0, keyPlaces.length > 0, noKey === undefined], id).toEqual(
        keys.length > 0 ? [true, true, true] : [false, false, false],
      );
      if (noKey) expect(NO_KEY[noKey]).toMatch(/\.$/);
    }
  });

  it("has no key twice in one place, and no single key outside a band", () => {
    expect(conflictsOf(DEFAULT_KEY_MAP)).toEqual([]);
    const anywhere = ACTIONS.filter(({ keyPlaces }) => keyPlaces.includes("anywhere"));
    expect(anywhere.flatMap(({ keys }) => keys).filter(isSingle)).toEqual([]);
    expect(anywhere.flatMap(({ keys }) => keys)).toEqual(["Ctrl+K"]);
  });

  it("names a counterpart for each, or one of the known reasons for none", () => {
    const reasons: readonly string[] = Object.values(NO_COUNTERPART);
    for (const { id, counterpart } of ACTIONS) {
      const isNamed = /^(GET|POST|PATCH|PUT|DELETE) \/\S+$|^wheelgram \w+/.test(counterpart);
      expect(isNamed || reasons.includes(counterpart), `${id}: ${counterpart}`).toBe(true);
    }
  });

  it("says what the pages say", () => {
    const isThere = (action: Action) => textsOf(action).some((words) => fits(saysOf(action), words));
    const missing = ACTIONS.filter((action) => !isThere(action)).map(({ id }) => id);
    expect(missing).toEqual([]);
  });

  it("misses no button of the pages", () => {
    const unknown = [...buttons].filter(
      (words) => !STEPS.includes(words) && !ACTIONS.some((action) => fits(saysOf(action), words)),
    );
    expect(unknown).toEqual([]);
    expect(STEPS.filter((words) => !buttons.has(words))).toEqual([]);
  });

  it("leads each to a page that there is", () => {
    for (const action of ACTIONS) {
      const address = addressFor(action);
      expect(routeOf(address) !== undefined || address === "/help/api", `${action.id}: ${address}`).toBe(true);
    }
    expect(ACTIONS.filter(isLink).every(({ noKey }) => noKey === "link")).toBe(true);
  });

  it("knows what stands on the page that is open", () => {
    const here = (path: string) => ACTIONS.filter((action) => isHere(action, routeOf(path))).map(({ id }) => id);
    expect(here("/settings")).toContain("settings.look");
    expect(here("/settings")).not.toContain("range.closer");
    expect(here("/recordings/abc")).toContain("range.closer");
    expect(here("/jobs/7K3F/left-front")).toContain("wheel.newSensor");
  });
});

describe("finding an action", () => {
  const found = (typed: string) => matching(ACTIONS, typed).map(({ id }) => id);

  it.each([
    ["closer", "range.closer"],
    ["zoom in", "range.closer"],
    ["clsoer", "range.closer"], // two letters swapped
    ["whle recording", "range.whole"], // one missing
    ["snapp", "mark.snap"], // one too many
    ["gloves", "settings.size"],
    ["shortcuts", "go.keys"],
    ["next sensor", "frame.nextSame"],
    ["UPLOAD", "recording.add"],
    ["post /jobs/{id}/wakes", "job.wake"],
  ])("%s brings %s first", (typed, id) => {
    expect(found(typed)[0]).toBe(id);
  });

  it("shows all for nothing typed, and none for what nobody has", () => {
    expect(found("  ")).toHaveLength(ACTIONS.length);
    expect(found("xylophone")).toEqual([]);
  });
});
