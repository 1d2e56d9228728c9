import type { BandPlace, PageAction, PlaceName } from "./action.ts";
import { NO_COUNTERPART } from "./action.ts";

const EVERY_BAND: readonly BandPlace[] = ["overview", "signal", "lines", "events", "bits", "values"];
const { shown: SHOWN, screen: SCREEN } = NO_COUNTERPART;
const NONE: readonly string[] = [];
const SIGNAL = "GET /recordings/{hash}/signal";
const BURSTS = "GET /recordings/{hash}/bursts";
const NOTES = "GET /recordings/{hash}/notes";
const MEASURES = "GET /recordings/{hash}/measures";
const EXPORT = "GET /recordings/{hash}/export";
const EDGES = "GET /recordings/{hash}/edges";

/** What can be done on a recording's page. Letter and single keys act only in a band that has the focus. */
export const recordingActions = [
  { id: "range.left", name: "Earlier", place: "range", keys: ["PageUp"], keyPlaces: EVERY_BAND, counterpart: SIGNAL },
  { id: "range.right", name: "Later", place: "range", keys: ["PageDown"], keyPlaces: EVERY_BAND, counterpart: SIGNAL },
  { id: "range.closer", name: "Closer", place: "range", keys: ["+", "="], keyPlaces: EVERY_BAND, counterpart: SIGNAL },
  { id: "range.wider", name: "Wider", place: "range", keys: ["-", "−"], keyPlaces: EVERY_BAND, counterpart: SIGNAL },
  { id: "range.back", name: "Back", place: "range", keys: ["Backspace"], keyPlaces: EVERY_BAND, counterpart: SHOWN },
  {
    id: "range.forward",
    name: "Forward",
    place: "range",
    keys: ["Shift+Backspace"],
    keyPlaces: EVERY_BAND,
    counterpart: SHOWN,
  },
  {
    id: "range.whole",
    name: "Whole recording",
    place: "range",
    keys: ["0"],
    keyPlaces: EVERY_BAND,
    counterpart: SIGNAL,
  },
  { id: "range.exact", name: "Type times", place: "range", keys: ["t"], keyPlaces: EVERY_BAND, counterpart: SIGNAL },

  { id: "frame.next", name: "Next frame", place: "bits", keys: ["n"], keyPlaces: EVERY_BAND, counterpart: BURSTS },
  {
    id: "frame.previous",
    name: "Previous frame",
    place: "bits",
    keys: ["p"],
    keyPlaces: EVERY_BAND,
    counterpart: BURSTS,
  },
  {
    id: "frame.nextUnread",
    name: "Next not read",
    place: "bits",
    keys: ["u"],
    keyPlaces: EVERY_BAND,
    counterpart: BURSTS,
  },
  {
    id: "frame.nextSame",
    name: "Next of this sensor",
    place: "bits",
    keys: ["s"],
    keyPlaces: EVERY_BAND,
    counterpart: "GET /recordings/{hash}/telegrams",
  },
  {
    id: "frame.previousSame",
    name: "Previous of this sensor",
    place: "bits",
    keys: ["Shift+S"],
    keyPlaces: EVERY_BAND,
    counterpart: "GET /recordings/{hash}/telegrams",
  },
  { id: "frame.large", name: "Show it large", place: "bits", keys: ["l"], keyPlaces: EVERY_BAND, counterpart: SIGNAL },
  {
    id: "frame.compare",
    name: "Compare this frame",
    says: "Compare this frame with another",
    place: "bits",
    keys: ["k"],
    keyPlaces: EVERY_BAND,
    counterpart: SHOWN,
  },
  {
    id: "value.samples",
    name: "Show its samples",
    place: "bits",
    keys: ["w"],
    keyPlaces: ["bits"],
    counterpart: SHOWN,
  },

  { id: "mark.a", name: "Mark A here", place: "marks", keys: ["a"], keyPlaces: ["signal"], counterpart: EDGES },
  { id: "mark.b", name: "Mark B here", place: "marks", keys: ["b"], keyPlaces: ["signal"], counterpart: EDGES },
  {
    id: "mark.snap",
    name: "Come to the nearest edge",
    place: "marks",
    keys: ["e"],
    keyPlaces: ["signal"],
    counterpart: EDGES,
  },
  {
    id: "measure.copy",
    name: "Copy the measure",
    place: "marks",
    keys: ["c"],
    keyPlaces: ["signal"],
    counterpart: MEASURES,
  },
  pressed("mark.keep", "Keep a moment by a name", "marks", SHOWN, "Keep it"),
  {
    id: "signal.share",
    name: "Level as a share",
    place: "signal",
    keys: ["v"],
    keyPlaces: ["signal"],
    counterpart: SIGNAL,
  },
  {
    id: "signal.frequency",
    name: "Frequency as well",
    place: "signal",
    keys: ["f"],
    keyPlaces: ["signal"],
    counterpart: SIGNAL,
  },
  {
    id: "signal.spectrum",
    name: "Was it in the band?",
    place: "signal",
    keys: ["i"],
    keyPlaces: ["signal"],
    counterpart: "GET /recordings/{hash}/spectrum",
  },
  {
    id: "lines.order",
    name: "Order of the lines",
    says: "Order",
    place: "lines",
    keys: ["r"],
    keyPlaces: ["lines"],
    counterpart: SHOWN,
  },
  {
    id: "lines.hide",
    name: "Hide this line",
    says: "Hide",
    place: "lines",
    keys: ["h"],
    keyPlaces: ["lines"],
    counterpart: SHOWN,
  },
  {
    id: "lines.show",
    name: "Show all lines",
    place: "lines",
    keys: ["Shift+H"],
    keyPlaces: ["lines"],
    counterpart: SHOWN,
  },
  {
    id: "band.hide",
    name: "Fold this band away",
    says: "Fold away",
    place: "recording",
    keys: ["z"],
    keyPlaces: EVERY_BAND,
    counterpart: SHOWN,
  },

  { id: "search.open", name: "Search", place: "search", keys: ["/"], keyPlaces: EVERY_BAND, counterpart: BURSTS },
  { id: "search.next", name: "Next hit", place: "search", keys: ["."], keyPlaces: EVERY_BAND, counterpart: BURSTS },
  {
    id: "search.previous",
    name: "Previous hit",
    place: "search",
    keys: [","],
    keyPlaces: EVERY_BAND,
    counterpart: BURSTS,
  },

  pressed("search.clear", "Clear the search", "search", SHOWN, "Clear"),
  {
    id: "note.write",
    name: "Write a note",
    place: "notes",
    keys: ["m"],
    keyPlaces: EVERY_BAND,
    counterpart: "POST /recordings/{hash}/notes",
  },
  pressed("note.change", "Change a note", "notes", "PATCH /recordings/{hash}/notes/{note}", "Change it"),
  { id: "note.next", name: "Next note", place: "notes", keys: ["o"], keyPlaces: EVERY_BAND, counterpart: NOTES },
  {
    id: "note.previous",
    name: "Previous note",
    place: "notes",
    keys: ["Shift+O"],
    keyPlaces: EVERY_BAND,
    counterpart: NOTES,
  },

  { id: "link.copy", name: "Copy the link", place: "out", keys: ["y"], keyPlaces: EVERY_BAND, counterpart: SCREEN },
  out("picture.svg", "Picture as SVG", SCREEN, "SVG"),
  out("picture.png", "Picture as PNG", SCREEN, "PNG…"),
  out("picture.pdf", "Picture as PDF", SCREEN, "PDF"),
  out("picture.copy", "Copy the picture", SCREEN),
  out("picture.print", "Print the page", SCREEN),
  out("data.csv", "Frames as CSV for programs", EXPORT, "CSV for programs"),
  out("data.sheet", "Frames as CSV for a spreadsheet", EXPORT, "CSV for my spreadsheet"),
  out("data.json", "Frames as JSON", EXPORT, "JSON"),
  out("data.lines", "Frames as JSON Lines", "wheelgram analyse --json", "JSON Lines"),
  out("data.sigmf", "SigMF with its notes", EXPORT, "Samples with notes"),
  out("data.table", "Copy the table of frames", EXPORT),
  {
    id: "recording.analyse",
    name: "Analyse it again",
    place: "recording",
    keys: NONE,
    noKey: "outside",
    keyPlaces: [],
    counterpart: "POST /recordings/{hash}/analysis",
  },
] as const satisfies readonly PageAction[];

function out<Id extends string>(id: Id, name: string, counterpart: string, says = name) {
  const noKey = "writes" as const;
  return { id, name, says, place: "out" as const, keys: NONE, noKey, keyPlaces: [], counterpart };
}

function pressed<Id extends string>(id: Id, name: string, place: PlaceName, counterpart: string, says = name) {
  const noKey = "outside" as const;
  return { id, name, says, place, keys: NONE, noKey, keyPlaces: [], counterpart };
}
