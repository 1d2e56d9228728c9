import type { Route } from "../route.ts";

/** Where a key acts: in one band of a recording's page while that has the focus, or on every page. */
export const KEY_PLACES = ["anywhere", "overview", "signal", "lines", "events", "bits", "values"] as const;
export type KeyPlace = (typeof KEY_PLACES)[number];
/** The bands of a recording's page that take keys. */
export type BandPlace = Exclude<KeyPlace, "anywhere">;

export const KEY_PLACE_WORDS: Readonly<Record<KeyPlace, string>> = {
  anywhere: "on every page",
  overview: "the overview",
  signal: "the signal",
  lines: "the frame lines",
  events: "the list of events",
  bits: "the bits",
  values: "values over time",
};

interface PlaceShape {
  /** `every`: it stands around all pages. */
  readonly page: Route["page"] | "every";
  /** Page and part of it, as they are headed there. */
  readonly words: string;
  /** Where somebody who is elsewhere has to go first. */
  readonly href: string;
}

/** Where actions stand. */
export const PLACES = {
  top: { page: "every", words: "Every page, at the top", href: "/" },
  entries: { page: "every", words: "Every page, the main entries", href: "/" },
  range: { page: "recording", words: "A recording, what is shown", href: "/recordings" },
  overview: { page: "recording", words: "A recording, the overview", href: "/recordings" },
  signal: { page: "recording", words: "A recording, the signal", href: "/recordings" },
  marks: { page: "recording", words: "A recording, measure between two marks", href: "/recordings" },
  lines: { page: "recording", words: "A recording, the frame lines", href: "/recordings" },
  bits: { page: "recording", words: "A recording, the bits", href: "/recordings" },
  search: { page: "recording", words: "A recording, search", href: "/recordings" },
  notes: { page: "recording", words: "A recording, notes", href: "/recordings" },
  out: { page: "recording", words: "A recording, take it out", href: "/recordings" },
  recording: { page: "recording", words: "A recording", href: "/recordings" },
  compare: { page: "compare", words: "A comparison", href: "/recordings" },
  recordings: { page: "recordings", words: "Recordings", href: "/recordings" },
  studies: { page: "studies", words: "Studies", href: "/studies" },
  newStudy: { page: "newStudy", words: "A new study", href: "/studies/new" },
  study: { page: "study", words: "A study", href: "/studies" },
  jobs: { page: "jobs", words: "Jobs", href: "/jobs" },
  card: { page: "job", words: "A job card", href: "/jobs" },
  cardBody: { page: "job", words: "A job card, the wheels", href: "/jobs" },
  cardWalk: { page: "job", words: "A job card, walk round", href: "/jobs" },
  cardProve: { page: "job", words: "A job card, prove it", href: "/jobs" },
  cardHandOver: { page: "job", words: "A job card, hand over", href: "/jobs" },
  cardKeeping: { page: "job", words: "A job card, keep, wipe, remove", href: "/jobs" },
  cardChanges: { page: "job", words: "A job card, what was done to it", href: "/jobs" },
  wheel: { page: "wheel", words: "A wheel of a job, at this wheel", href: "/jobs" },
  bench: { page: "bench", words: "Bench", href: "/bench" },
  lot: { page: "lot", words: "A lot", href: "/bench" },
  lotSetUp: { page: "lot", words: "A lot, set up", href: "/bench" },
  lotRegister: { page: "lot", words: "A lot, register", href: "/bench" },
  lotPoints: { page: "lot", words: "A lot, set points", href: "/bench" },
  lotDecide: { page: "lot", words: "A lot, decide", href: "/bench" },
  lotRecord: { page: "lotRecord", words: "A lot's record", href: "/bench" },
  specimen: { page: "specimen", words: "A specimen of a lot", href: "/bench" },
  board: { page: "board", words: "A class board", href: "/class" },
  join: { page: "join", words: "Take a seat, on a phone with a code", href: "/class/join" },
  seat: { page: "seat", words: "A seat in a lesson", href: "/class/seat" },
  sending: { page: "sending", words: "Is it sending?", href: "/sending" },
  class: { page: "class", words: "Class", href: "/class" },
  exerciseSet: { page: "exerciseSet", words: "A set of exercises", href: "/class" },
  exercise: { page: "exercise", words: "An exercise", href: "/class" },
  exerciseEditor: { page: "exerciseEditor", words: "A set of exercises, written", href: "/class" },
  layouts: { page: "layouts", words: "Layouts", href: "/layouts" },
  workshop: { page: "worksheet", words: "The layout workshop", href: "/layouts" },
  collisions: { page: "collisions", words: "Collisions, of the class", href: "/class/collisions" },
  make: { page: "make", words: "Make one yourself, of the class", href: "/class/make" },
  twoBands: { page: "twoBands", words: "Two bands, of the class", href: "/class/two-bands" },
  receivers: { page: "receivers", words: "Receivers", href: "/receivers" },
  fleet: { page: "fleet", words: "Fleet", href: "/fleet" },
  devices: { page: "devices", words: "Devices", href: "/devices" },
  pair: { page: "pair", words: "Come in, on a device with a code", href: "/pair" },
  settings: { page: "settings", words: "Settings", href: "/settings" },
  keys: { page: "keys", words: "Help, keys and actions", href: "/help/keys" },
} as const satisfies Readonly<Record<string, PlaceShape>>;

export type PlaceName = keyof typeof PLACES;

/** Why an action has nothing that another program could ask for. */
export const NO_COUNTERPART = {
  shown: "none: only changes what is shown, the link carries it",
  device: "none: kept on this device alone",
  page: "none: only leads to another page",
  screen: "none: belongs to this screen alone",
} as const;

/** Why an action has no key of its own; the palette runs it without. */
export const NO_KEY = {
  outside: "No band: it is a button, reached with Tab.",
  writes: "Writes a file or a record: no slip of a key is to do that.",
  link: "A link, reached with Tab.",
} as const;

/** Something that somebody can do on the pages. */
export interface PageAction {
  readonly id: string;
  /** In plain words. */
  readonly name: string;
  /** What its button, link or fold says where that is not the name; `…` at the end stands for any words. */
  readonly says?: string;
  readonly place: PlaceName;
  /** The keys that it comes with, such as `Shift+Backspace`; empty where `noKey` says why. */
  readonly keys: readonly string[];
  readonly noKey?: keyof typeof NO_KEY;
  readonly keyPlaces: readonly KeyPlace[];
  /** `GET /recordings/{hash}/signal` of our HTTP interface, `wheelgram analyse`, or why there is none. */
  readonly counterpart: string;
}
