import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "@playwright/test";
import type { ExerciseSetBody, ExerciseSetFileBody } from "../../server/http/wire/exercises.ts";
import { type House, top } from "./house.ts";
import { ask, postJson } from "./http.ts";
import { expect, test } from "./test.ts";

type Exercise = ExerciseSetFileBody["exercises"][number];

const PLAIN = {
  rung: null,
  gives: [],
  hints: ["Look again."],
  reveal: "So it is.",
  sources: ["common practice, no source"],
};
const options = ["receiver", "burst", "band"].map((id) => ({ id, words: `The ${id}` }));

/** One sensor that speaks once, with a pressure that is always the same. */
const READ: Exercise = {
  ...PLAIN,
  id: "read-the-pressure",
  title: "Read the pressure",
  rung: "values",
  question:
    "The telegram's raw pressure is {raw}; a step is 2.5 kPa, from 0 kPa absolute. What does a gauge show, at 100 kPa around?",
  draws: { kpa: { oneOf: [230] } },
  scenario: {
    title: "One pilot car sensor",
    durationSeconds: 0.5,
    startsAt: "2026-03-02T08:15:00Z",
    receiver: {
      name: "class",
      sampleRateHz: 250000,
      sampleType: "cu8",
      noiseDbfs: -36,
      tunings: [{ fromSeconds: 0, carrierHz: 433920000 }],
    },
    sensors: [
      {
        name: "wheel",
        layout: "pilot-car",
        identity: "3f09c2d1",
        values: { mode: "parked" },
        pressureKpa: [{ atSeconds: 0, kPa: { drawn: "kpa" } }],
        temperatureC: [{ atSeconds: 0, degC: 21 }],
        carrierHz: 433920000,
        level: { ebN0Db: 30 },
        sends: [{ atSeconds: 0.1, copies: 1 }],
      },
    ],
    outputs: ["recording"],
  },
  found: { raw: { telegram: 0, field: "pressure", as: "raw" } },
  gives: [{ kind: "signal", caption: "The burst", burst: 0, frequency: true }],
  answer: { kind: "quantity", is: "kpa", unit: "kPa", tolerance: 4 },
  wrong: [{ answer: "kpa + 100", says: "That is over nothing, not over the air around." }],
  walks: 0,
  solvedBy: { formula: "kpa" },
};
const PICK: Exercise = {
  ...PLAIN,
  id: "pick-the-rung",
  title: "Pick the rung",
  question: "Which rung comes first?",
  answer: { kind: "choice", options, is: "receiver" },
  wrong: [{ answer: "band", says: "Two come before it." }],
  solvedBy: { formula: '"receiver"' },
};
const ORDER: Exercise = {
  ...PLAIN,
  id: "order-the-rungs",
  title: "Order the rungs",
  question: "In which order are they climbed?",
  answer: { kind: "order", options, is: ["receiver", "burst", "band"] },
  wrong: [{ answer: ["band", "burst", "receiver"], says: "The other way round." }],
  solvedBy: { formula: '"receiver,burst,band"' },
};

let made = 0;

/** A set of these exercises; another one each time. */
async function addSet(house: House, exercises: readonly Exercise[]): Promise<ExerciseSetBody> {
  made += 1;
  return postJson(house, "/exercise-sets", {
    format: "wheelgram exercises",
    version: 1,
    id: `tried-${made}-${Date.now()}`,
    title: `Tried ${made}`,
    teaches: "How a test goes through it.",
    level: "first steps",
    minutes: 5,
    bands: ["433.92 MHz"],
    exercises,
  });
}

const fileOf = (house: House, id: string) => ask<ExerciseSetFileBody>(house, `/exercise-sets/${id}/file`);
const answer = (page: Page) => page.getByRole("button", { name: "Answer", exact: true }).click();

test("self-study: why an answer is wrong, a hint, the right one, and the ladder up from the bottom", async ({
  house,
  page,
}) => {
  const set = await addSet(house, [READ, PICK]);
  await page.goto("/class");
  await page.getByRole("link", { name: new RegExp(set.title) }).click();
  await page.getByRole("link", { name: /Read the pressure/ }).click();
  await expect(page.getByRole("heading", { level: 1, name: "Read the pressure" })).toBeVisible();
  await expect(page.getByRole("img", { name: /^The burst\. From .* ms/ })).toBeVisible();
  await expect(page.getByRole("img", { name: "The burst: its frequency over the same time" })).toBeVisible();

  const box = page.getByLabel("A number kPa");
  await box.fill("330");
  await answer(page);
  await expect(page.getByText("That is over nothing, not over the air around.")).toBeVisible();
  await page.getByRole("button", { name: "Next hint" }).click();
  await expect(page.getByText("Look again.")).toBeVisible();
  await expect(page.getByRole("button", { name: "Next hint" })).toBeDisabled();
  await box.fill("2.3 bar");
  await answer(page);

  await expect(page.getByRole("heading", { name: "Solved with answer 2" })).toBeFocused();
  await expect(page.getByText("230 kPa, ± 4 kPa taken as right")).toBeVisible();
  const rungs = page.locator(".ladder-walk .rung");
  await expect(rungs).toHaveCount(1);
  await expect(rungs.first()).toContainText("Was the receiver able to hear?");
  await page.getByRole("button", { name: "Next rung" }).click();
  await expect(rungs).toHaveCount(2);
  await expect(rungs.nth(1)).toContainText("needed at least 6");
  for (let i = 2; i < 9; i++) await page.getByRole("button", { name: "Next rung" }).click();
  await expect(rungs).toHaveCount(9);
  await expect(page.getByText("Climbed to the top.")).toBeVisible();

  // The same sitting, and what was done on this device.
  await page.reload();
  await expect(page.getByRole("heading", { name: "Solved with answer 2" })).toBeVisible();
  await page.getByRole("link", { name: set.title }).click();
  await expect(page.getByRole("link", { name: /Read the pressure/ })).toContainText("solved, 1 wrong, 1 hint");
  await page.goto("/class");
  const entry = page.getByRole("link", { name: new RegExp(set.title) });
  await expect(entry).toContainText("1 of 2 solved, 1 to review");

  await page.getByRole("button", { name: "Forget my progress" }).click();
  await expect(entry).toContainText("not begun");
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(entry).toContainText("1 of 2 solved, 1 to review");
});

test("what was told is kept as a recording, and another draw begins anew", async ({ house, page }) => {
  const set = await addSet(house, [READ]);
  await page.goto(`/class/set/${set.id}/${READ.id}`);
  await page.getByRole("button", { name: "Have it told" }).click();
  await expect(page.getByRole("heading", { name: "The answer" })).toBeVisible();
  await page.getByRole("button", { name: "Another draw" }).click();
  await expect(page.getByRole("button", { name: "Have it told" })).toBeVisible();
  await expect(page.getByRole("heading", { name: "The answer" })).toBeHidden();
  await page.getByRole("button", { name: "Have it told" }).click();
  await page.getByRole("button", { name: "Keep the recording and open it" }).click();
  await expect(page).toHaveURL(/\/recordings\/[0-9a-f]+$/);
  await expect(page.getByText("3f09c2d1").first()).toBeVisible();
});

test("what was missed is reviewed first; an order is put right with the keyboard alone", async ({ house, page }) => {
  const set = await addSet(house, [PICK, ORDER, { ...PICK, id: "pick-again", title: "Pick again" }]);
  await page.goto(`/class/set/${set.id}/${PICK.id}`);
  await page.getByLabel("The receiver").check();
  await answer(page);
  await expect(page.getByRole("heading", { name: "Solved" })).toBeVisible();
  await page.getByRole("link", { name: "Next exercise" }).click();

  await expect(page.getByRole("heading", { level: 1, name: "Order the rungs" })).toBeVisible();
  const lines = page.getByRole("list", { name: "The order" }).getByRole("listitem");
  const now = async () => (await lines.locator(".order-words").allTextContents()).join(", ");
  // The wrong way round first, then the right one, each by Enter on Up.
  const bring = async (words: string, to: number) => {
    for (;;) {
      const at = (await lines.locator(".order-words").allTextContents()).indexOf(words);
      if (at <= to) return;
      await lines.nth(at).getByRole("button", { name: "Up" }).focus();
      await page.keyboard.press("Enter");
      await expect(lines.nth(at - 1).locator(".order-words")).toHaveText(words);
      await expect(lines.nth(at - 1).getByRole("button", { name: at === 1 ? "Down" : "Up" })).toBeFocused();
    }
  };
  await bring("The band", 0);
  await bring("The burst", 1);
  expect(await now()).toBe("The band, The burst, The receiver");
  await answer(page);
  await expect(page.getByText("The other way round.")).toBeVisible();
  await bring("The receiver", 0);
  await bring("The burst", 1);
  await answer(page);
  await expect(page.getByRole("heading", { name: "Solved with answer 2" })).toBeVisible();

  await page.goto(`/class/set/${set.id}`);
  const list = page.getByRole("list", { name: "Exercises" });
  await expect(list.locator(".row-title")).toHaveText(["Pick the rung", "Order the rungs", "Pick again"]);
  await page.getByRole("button", { name: "Review what you missed first" }).click();
  await expect(list.locator(".row-title")).toHaveText(["Order the rungs", "Pick again", "Pick the rung"]);
  await page.reload();
  await expect(list.locator(".row-title")).toHaveText(["Order the rungs", "Pick again", "Pick the rung"]);
  await list.getByRole("link").first().click();
  await expect(page.getByRole("link", { name: "Next exercise" })).toHaveAttribute("href", /pick-again\?order=missed$/);
});

test("a device whose store holds something else begins anew, and the page works", async ({ house, page }) => {
  const set = await addSet(house, [PICK]);
  await page.goto("/class");
  await page.evaluate('localStorage.setItem(\'wheelgram.exercises\', \'{"version":1,"sets":{"x":[1\')');
  await page.goto(`/class/set/${set.id}`);
  await expect(page.getByRole("link", { name: /Pick the rung/ })).toContainText("not looked at");
  await page.getByRole("link", { name: /Pick the rung/ }).click();
  await page.getByRole("button", { name: "Have it told" }).click();
  await expect(page.getByRole("heading", { name: "The answer" })).toBeVisible();
  await page.goto(`/class/set/${set.id}`);
  await expect(page.getByRole("link", { name: /Pick the rung/ })).toContainText("told");
});

test("a set goes out as a file, is removed, and comes back from the file as it was", async ({
  house,
  page,
  expected,
}) => {
  const set = await addSet(house, [READ, ORDER]);
  const before = await fileOf(house, set.id);
  await page.goto(`/class/set/${set.id}`);
  const download = page.waitForEvent("download");
  await page.getByRole("link", { name: "Save the set as a file" }).click();
  const saved = await download;
  expect(saved.suggestedFilename()).toBe(`${set.id}.exercises.json`);
  const path = await saved.path();
  const text = readFileSync(path, "utf8");
  expect(JSON.parse(text)).toEqual(before);

  await page.getByRole("button", { name: "Remove this set" }).click();
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(page.getByRole("button", { name: "Remove this set" })).toBeVisible();
  expect(await fileOf(house, set.id)).toEqual(before);
  await page.getByRole("button", { name: "Remove this set" }).click();
  await expect(page.getByText("The set is removed.")).toBeVisible();

  await page.goto("/class");
  await expect(page.getByRole("heading", { name: "Sets of your own" })).toBeVisible();
  await page.getByLabel("Bring in a set").setInputFiles(path);
  await expect(page.getByRole("heading", { level: 1, name: set.title })).toBeVisible();
  const address = `${house.address()}/api/v1/exercise-sets/${set.id}/file`;
  expect(await (await fetch(address)).text()).toBe(text);

  expected.push(/status of 400/);
  await page.goto("/class");
  const bad = { ...before, exercises: [{ ...before.exercises[0], hints: [] }] };
  await page.getByLabel("Bring in a set").setInputFiles({
    name: "bad.json",
    mimeType: "application/json",
    buffer: Buffer.from(JSON.stringify(bad)),
  });
  await expect(page.getByRole("alert")).toContainText("exercises[0].hints: found [], allowed at least 1 entry");
  await page.getByLabel("Bring in a set").setInputFiles({
    name: "torn.json",
    mimeType: "application/json",
    buffer: Buffer.from(text.slice(0, 100)),
  });
  await expect(page.getByRole("alert")).toContainText("This is not JSON");
});

test("an exercise is written with its preview beside it: draws, what the tool finds, complaints at their boxes", async ({
  house,
  page,
  expected,
}) => {
  expected.push(/status of 4(00|12)/);
  await page.goto("/class");
  await page.getByRole("button", { name: "Start the lesson" }).waitFor(); // what stands above it is there, and it moves no more
  await page.waitForTimeout(300);
  await page.getByRole("button", { name: "New set" }).click();
  await expect(page).toHaveURL(/\/class\/edit\/my-set/);
  const id = page.url().split("/").at(-1) ?? "";
  await page.getByRole("button", { name: "Add an exercise" }).click();
  const preview = page.getByRole("region", { name: /^As a student sees it/ });
  await expect(preview).toContainText("agrees");
  const shown = preview.locator(".question");
  const questions = new Set([await shown.textContent()]);
  for (let draw = 2; draw <= 6; draw++) {
    await preview.getByRole("button", { name: "Next draw" }).click();
    await expect(page.getByRole("heading", { name: `As a student sees it: draw ${draw}` })).toBeVisible();
    await expect(preview).toContainText("agrees");
    await page.waitForTimeout(1000); // the answer to this draw is waited for, and the last one is still shown
    questions.add(await shown.textContent());
  }
  expect(questions.size).toBeGreaterThan(2);

  await page.getByLabel("Question").fill("What does a gauge show of {nil} kPa?");
  await expect(preview.getByText("This draw does not work out")).toBeVisible();
  const box = page.locator(".exercise-form .field", { has: page.getByLabel("Question") });
  await expect(box.locator(".wrong")).toContainText("{nil} stands for nothing");
  await page.getByRole("button", { name: "Undo" }).click();
  await expect(preview).toContainText("agrees");
  await expect(box.locator(".wrong")).toHaveCount(0);

  await page.getByLabel("Right answer, a formula").fill("absolute + 100");
  await expect(preview.getByText("does not agree", { exact: true })).toBeVisible();
  await page.getByLabel("Right answer, a formula").fill("absolute - 100");
  await expect(preview.getByText("agrees", { exact: true })).toBeVisible();

  await page.getByText("What is drawn, on the air and given").click();
  const scenario = page.locator(".editor-json .field", { has: page.getByLabel("What is on the air") });
  await page.getByLabel("What is on the air").fill("{");
  await expect(scenario.locator(".wrong")).toContainText("This is not JSON");
  await page.getByLabel("What is on the air").fill(JSON.stringify({ ...Object(READ.scenario), sensors: "none" }));
  await expect(scenario.locator(".wrong")).toContainText("sensors: found", { timeout: 15_000 });
  await page.getByLabel("What is on the air").fill("");
  await expect(preview.getByText("agrees", { exact: true })).toBeVisible();

  await page.getByLabel("It takes").fill("soon");
  const minutes = page.locator(".field", { has: page.getByLabel("It takes") });
  await expect(minutes.locator(".wrong")).toHaveText('Found "soon", allowed a number.');
  // Not written, and not lost.
  await page.reload();
  await expect(page.getByLabel("It takes")).toHaveValue("soon");
  await page.getByLabel("It takes").fill("25");
  await expect(page.getByText("All of it is written.")).toBeVisible();
  expect(await fileOf(house, id)).toMatchObject({ minutes: 25, exercises: [{ title: "A new exercise" }] });

  // Somebody else writes meanwhile.
  const { revision } = await ask<ExerciseSetBody>(house, `/exercise-sets/${id}`);
  const other = await fetch(`${house.address()}/api/v1/exercise-sets/${id}`, {
    method: "PUT",
    headers: { "content-type": "application/json", "if-match": `"${revision}"` },
    body: JSON.stringify({ ...(await fileOf(house, id)), title: "Theirs" }),
  });
  expect(other.status).toBe(200);
  await page.getByLabel("Title of the set").fill("Mine");
  await expect(page.getByText("This set was changed elsewhere while you wrote")).toBeVisible();
  await page.getByRole("button", { name: "Write yours over it" }).click();
  await expect(page.getByText("All of it is written.")).toBeVisible();
  expect(await fileOf(house, id)).toMatchObject({ title: "Mine" });
});

test("the built pages hold no answer of a shipped set", async ({ house: _ }) => {
  const web = join(top, "dist", "web");
  const files = readdirSync(web, { recursive: true, encoding: "utf8" }).filter((name) =>
    /\.(js|html|json|map)$/.test(name),
  );
  expect(files.length).toBeGreaterThan(3);
  const built = files.map((name) => readFileSync(join(web, name), "utf8")).join("\n");
  const sets = join(top, "server", "class", "sets");
  const shipped = readdirSync(sets).map(
    (name): ExerciseSetFileBody => JSON.parse(readFileSync(join(sets, name), "utf8")),
  );
  const texts = shipped.flatMap(({ exercises }) =>
    exercises.flatMap(({ reveal, hints, wrong }) => [reveal, ...hints, ...wrong.map(({ says }) => says)]),
  );
  expect(texts.length).toBeGreaterThan(3);
  // What stands between placeholders, as it would in a file; a few words may stand elsewhere as well.
  const parts = texts.flatMap((text) => text.split(/\{[^}]*\}/)).filter((part) => part.trim().length > 30);
  expect(parts.filter((part) => built.includes(part))).toEqual([]);
});
