import { AxeBuilder } from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import type { LessonBody, SeatJoinedBody } from "../../server/http/wire/lessons.ts";
import type { LotHeadBody } from "../../server/http/wire/lots.ts";
import type { StudyHeadBody } from "../../server/http/wire/studies.ts";
import { emptyWheel, type RecordingBody } from "../../server/http/wire.ts";
import { type House, soon } from "./house.ts";
import { addJob, ask, type Job, postJson } from "./http.ts";
import { pageSettled } from "./settled.ts";
import { expect, test } from "./test.ts";

const WIDTHS = [1280, 820, 320];
/** What the device asks for, and the look that it gets. */
const THEMES = [
  ["light", "paper"],
  ["dark", "night"],
] as const;
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/** Every page there is, by its address. */
const PAGES: readonly {
  readonly name: string;
  readonly path: (house: House, page: Page) => Promise<string> | string;
  /** Whether all that is folded is looked at unfolded. */
  readonly opened?: true;
  /** Buttons that are pressed before it is looked at, in this order. */
  readonly press?: readonly string[];
}[] = [
  { name: "jobs", path: () => "/jobs" },
  { name: "job card", path: async (house) => `/jobs/${await sampleJob(house)}` },
  { name: "wheel", path: async (house) => `/jobs/${await sampleJob(house)}/spare` },
  { name: "job card with all of it open", path: async (house) => `/jobs/${await fullJob(house)}`, opened: true },
  { name: "wheel that is silent", path: async (house) => `/jobs/${await fullJob(house)}/left-rear`, opened: true },
  { name: "is it sending", path: () => "/sending" },
  { name: "bench", path: () => "/bench" },
  { name: "a lot, set up", path: async (house) => `/bench/${await benchLot(house)}?at=set-up`, opened: true },
  { name: "a lot, register", path: async (house) => `/bench/${await benchLot(house)}?at=register` },
  { name: "a lot, set points", path: async (house) => `/bench/${await benchLot(house)}?at=set-points` },
  { name: "a lot, decide", path: async (house) => `/bench/${await benchLot(house)}?at=decide`, opened: true },
  { name: "a specimen", path: async (house) => `/bench/${await benchLot(house)}/7`, opened: true },
  { name: "a specimen that is silent", path: async (house) => `/bench/${await benchLot(house)}/13`, opened: true },
  { name: "a lot's record", path: async (house) => `/bench/${await benchLot(house)}/record` },
  { name: "two lots compared", path: (house) => comparedLots(house) },
  { name: "recordings", path: () => "/recordings" },
  { name: "recording", path: (house) => recordingPath(house, "sound-car") },
  { name: "recording that cannot be read", path: (house) => recordingPath(house, "unknown-layout") },
  { name: "recording with notes", path: (house) => notedPath(house, "interferer"), opened: true },
  { name: "studies", path: async (house) => (await doneStudy(house)) && "/studies" },
  { name: "a new study", path: () => "/studies/new", opened: true, press: ["Add a kind of raw file"] },
  { name: "a study", path: async (house) => `/studies/${await doneStudy(house)}?bursts=telegram`, opened: true },
  { name: "fleet, of a server that stands alone", path: () => "/fleet" },
  { name: "layouts", path: () => "/layouts" },
  { name: "layout", path: () => "/layouts/pilot-car" },
  { name: "the workshop, gather", path: (house) => worksheetPath(house, "gather") },
  { name: "the workshop, line up", path: (house) => worksheetPath(house, "line-up") },
  { name: "the workshop, what moves", path: (house) => worksheetPath(house, "what-moves"), opened: true },
  { name: "the workshop, name", path: (house) => worksheetPath(house, "name") },
  { name: "the workshop, check", path: (house) => worksheetPath(house, "check") },
  { name: "the workshop, prove", path: (house) => worksheetPath(house, "prove") },
  { name: "class", path: () => "/class" },
  { name: "collisions", path: () => "/class/collisions", opened: true },
  { name: "make one yourself", path: () => "/class/make", opened: true },
  { name: "class board", path: async (house) => `/class/board/${await filledLesson(house)}` },
  { name: "take a seat", path: () => "/class/join" },
  { name: "a seat", path: (house, page) => takenSeat(house, page) },
  { name: "a set of exercises", path: () => "/class/set/reading-a-telegram" },
  { name: "an exercise", path: async (house) => `/class/set/reading-a-telegram/${await firstExercise(house)}` },
  {
    name: "an exercise that is over",
    path: (house) => everyKind(house, "read"),
    press: ["Have it told", "Whole ladder"],
  },
  { name: "an exercise with several options", path: (house) => everyKind(house, "several"), press: ["Next hint"] },
  { name: "an exercise with an order", path: (house) => everyKind(house, "order"), press: ["Have it told"] },
  {
    name: "a set that is written",
    path: async (house) => (await everyKind(house, "")).replace("/set/", "/edit/"),
    opened: true,
  },
  { name: "two bands", path: () => "/class/two-bands", opened: true },
  {
    name: "two bands, one of them not heard, an interferer in the other",
    path: () => "/class/two-bands?v=1&path=two-rays&tuned=315&interferer=both&power=own&distanceM=0.8",
    opened: true,
  },
  { name: "receivers", path: () => "/receivers" },
  { name: "devices", path: () => "/devices" },
  { name: "come in", path: () => "/pair" },
  { name: "settings", path: () => "/settings" },
  { name: "words", path: () => "/words" },
  { name: "help", path: () => "/help" },
  { name: "keys and actions", path: () => "/help/keys" },
  { name: "an address that no page has", path: () => "/nowhere/at/all" },
];

// Both workers share these; each has a house of its own.
test.describe.configure({ mode: "parallel" });

for (const { name, path, opened, press = [] } of PAGES) {
  test(`${name}: nothing to mend for any eye, in light and night, at ${WIDTHS.join(", ")} px`, async ({
    house,
    page,
  }) => {
    test.slow(); // six looks of a page on which everything is open
    await page.goto(await path(house, page));
    await expect(page.getByRole("main").getByRole("heading").first()).toBeVisible();
    await pageSettled(page);
    if (opened) {
      await page.evaluate("for (const one of document.querySelectorAll('main details')) one.open = true");
      await pageSettled(page);
    }
    for (const button of press) {
      await page.getByRole("button", { name: button }).first().click();
      await pageSettled(page);
    }
    for (const [colorScheme, look] of THEMES) {
      await page.emulateMedia({ colorScheme });
      await expect(page.locator("html")).toHaveAttribute("data-theme", look);
      for (const width of WIDTHS) {
        await page.setViewportSize({ width, height: 800 });
        // Seen as a whole, nothing lies half under the bar at the foot of a tablet, which axe would take for a small target.
        const height = await page.evaluate<number>("document.documentElement.scrollHeight");
        await page.setViewportSize({ width, height: Math.max(800, height) });
        const { violations } = await new AxeBuilder({ page }).withTags(RULES).analyze();
        const said = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(" ")}`);
        expect(said, `${colorScheme} at ${width} px`).toEqual([]);
        const overhang = "document.documentElement.scrollWidth - document.documentElement.clientWidth";
        expect(await page.evaluate<number>(overhang), `sideways at ${width} px`).toBeLessThanOrEqual(0);
      }
    }
  });
}

async function sampleJob(house: House): Promise<string> {
  const job = (await ask<Job[]>(house, "/jobs")).find(({ sample }) => sample);
  if (!job) throw new Error("there is no sample job");
  return job.id;
}

async function firstExercise(house: House): Promise<string> {
  const { exercises } = await ask<{ exercises: { id: string }[] }>(house, "/exercise-sets/reading-a-telegram");
  return exercises[0]?.id ?? "";
}

/** A set of one's own with what an exercise may show and ask for; the address of one of it. */
async function everyKind(house: House, exercise: string): Promise<string> {
  const copy = await postJson<{ id: string; revision: number }>(house, "/exercise-sets", {
    copyOf: "reading-a-telegram",
  });
  const file = await ask<{ exercises: object[] }>(house, `/exercise-sets/${copy.id}/file`);
  const options = ["one", "two", "three"].map((id) => ({ id, words: `The ${id} of several, said at some length` }));
  const plain = {
    rung: "burst",
    gives: [
      { kind: "text", says: "What is given, in words." },
      { kind: "table", caption: "What is given, in a table", head: ["At, s", "What"], rows: [["0.10", "wake"]] },
      { kind: "symbols", caption: "In symbols", says: "10".repeat(60), group: 2 },
    ],
    hints: ["Look again.", "Count them."],
    reveal: "So it is.",
    cautions: ["wheel", "transmission"],
    sources: ["common practice, no source"],
  };
  const exercises = [
    { ...file.exercises[0], id: "read" },
    {
      ...plain,
      id: "several",
      title: "Several of them",
      question: "Which of these hold?",
      answer: { kind: "choices", options, are: ["one", "two"] },
      wrong: [{ answer: ["three"], says: "Not that one." }],
      solvedBy: { formula: '"one,two"' },
    },
    {
      ...plain,
      id: "order",
      title: "In order",
      question: "In which order do they come?",
      answer: { kind: "order", options, is: ["one", "two", "three"] },
      wrong: [{ answer: ["three", "two", "one"], says: "The other way round." }],
      solvedBy: { formula: '"one,two,three"' },
    },
    {
      ...plain,
      id: "quarrel",
      title: "Nobody agrees",
      question: "How many are they?",
      answer: { kind: "quantity", is: "3", unit: "1", tolerance: 0.1 },
      wrong: [{ answer: "2", says: "Count again." }],
      solvedBy: { formula: "4" }, // its preview complains, and nobody is handed it
    },
  ];
  const written = await fetch(`${house.address()}/api/v1/exercise-sets/${copy.id}`, {
    method: "PUT",
    headers: { "content-type": "application/json", "if-match": `"${copy.revision}"` },
    body: JSON.stringify({ ...file, exercises }),
  });
  expect(written.status).toBe(200);
  return `/class/set/${copy.id}${exercise === "" ? "" : `/${exercise}`}`;
}

/** A study of all samples, and of a file that is no recording; made once. */
async function doneStudy(house: House): Promise<string> {
  const [before] = await ask<StudyHeadBody[]>(house, "/studies");
  if (before) return before.id;
  const recordings = await ask<RecordingBody[]>(house, "/recordings");
  const { id } = await postJson<StudyHeadBody>(house, "/studies", {
    title: "All samples",
    sources: recordings.map(({ hash }) => ({ kind: "recording", hash })),
  });
  const isDone = async () => (await ask<StudyHeadBody>(house, `/studies/${id}`)).state === "done" || undefined;
  await soon("the study is done", isDone, { withinMs: 120_000, everyMs: 250 });
  return id;
}

/** The lot that came with the house. */
async function benchLot(house: House): Promise<string> {
  const lot = (await ask<LotHeadBody[]>(house, "/lots")).find(({ sampleOfHouse }) => sampleOfHouse);
  if (!lot) throw new Error("there is no sample lot");
  return lot.id;
}

async function comparedLots(house: House): Promise<string> {
  const { id } = await postJson<{ id: string }>(house, "/lots", { supplier: "Second source" });
  return `/bench/${await benchLot(house)}/compare?with=${id}`;
}

/** A card on which much was done, with one wheel silent; another one each time. */
async function fullJob(house: House): Promise<string> {
  const recording = (await ask<RecordingBody[]>(house, "/recordings")).find(({ name }) => name === "dumb-sensor");
  const { id } = await addJob(house, {
    plate: "FULL 1",
    visit: "lamp flashing",
    drivenLately: true,
    ambientC: 12,
    placardFrontKpa: 450,
    placardRearKpa: 450,
    wheels: [
      { ...emptyWheel("left front", "0b41c77"), handGaugeKpa: 441 },
      emptyWheel("right front", "0b41c9e"),
      emptyWheel("right rear", "0b3fe01"),
      { ...emptyWheel("left rear", "0b41d20"), dateCode: "2015-04" },
    ],
    recordingHashes: [recording?.hash ?? ""],
    vehicleList: "LF 0b41c77, RF 11803806\nRR 0b3ef01 and a word",
    relearn: "driving",
    codesBefore: "11, 12",
    codesAfter: "12",
    answers: [{ position: "left rear", step: "wake-again", answer: "silent", at: "2026-11-25T09:00:00Z" }],
    proofFrom: "2026-11-25T09:00:00Z",
  });
  return id;
}

/** A lesson with a seat that is stuck and one that has begun nothing. */
async function filledLesson(house: House): Promise<string> {
  const { code, exercises } = await postJson<LessonBody>(house, "/lessons", { set: "reading-a-telegram", seats: 12 });
  const join = () => postJson<SeatJoinedBody>(house, "/seats", { code, tellKey: true });
  const [{ key }] = [await join(), await join()];
  for (const answer of ["1", "2", "3"]) {
    await fetch(`${house.address()}/api/v1/seat/exercises/${exercises[0]?.id}/answers`, {
      method: "POST",
      headers: { authorization: `Bearer ${key}`, "content-type": "application/json" },
      body: JSON.stringify({ answer }),
    });
  }
  return code;
}

/** The page's browser has the seat's key. */
async function takenSeat(house: House, page: Page): Promise<string> {
  const code = await filledLesson(house);
  await page.request.post(`${house.address()}/api/v1/seats`, { data: { code } });
  return "/class/seat";
}

/** A recording with one note that a person wrote and one of another program. */
async function notedPath(house: House, name: string): Promise<string> {
  const path = await recordingPath(house, name);
  const comment = "weaker than its siblings\nlook at it again";
  await postJson(house, `${path}/notes`, { label: "odd one", comment, fromSeconds: 0.1, toSeconds: 0.2 });
  const more = { "bench:rating": 3 };
  await postJson(house, `${path}/notes`, {
    label: "",
    comment: "",
    fromSample: 0,
    sampleCount: 0,
    generator: "rig",
    more,
  });
  return path;
}

async function recordingPath(house: House, name: string): Promise<string> {
  const recording = (await ask<RecordingBody[]>(house, "/recordings")).find((one) => one.name === name);
  if (!recording) throw new Error(`there is no recording ${name}`);
  return `/recordings/${recording.hash}`;
}

/** A worksheet with the bursts of the ramp, at one of its stations. */
async function worksheetPath(house: House, station: string): Promise<string> {
  const all = await ask<RecordingBody[]>(house, "/recordings");
  const recordings = all.filter(({ name }) => name === "unknown-layout-ramp").map(({ hash }) => hash);
  const { id } = await postJson<{ id: string }>(house, "/worksheets", { title: "To be looked at" });
  const brought = await fetch(`${house.address()}/api/v1/worksheets/${id}/bursts`, {
    method: "POST",
    headers: { "content-type": "application/json", "if-match": '"1"' },
    body: JSON.stringify({ recordings }),
  });
  expect(brought.status).toBe(200);
  return `/workshop/${id}?at=${station}`;
}
