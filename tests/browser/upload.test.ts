import { execFileSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";
import type { RecordingBody, StoredTelegramBody } from "../../server/http/wire.ts";
import { archiveOf, sample, samplesDir } from "../support/samples.ts";
import { type House, openHouse, soon, top } from "./house.ts";
import { ask, remove } from "./http.ts";
import { expect, test } from "./test.ts";

const names = readdirSync(samplesDir)
  .filter((file) => file.endsWith(".sigmf-meta"))
  .map((file) => file.slice(0, -".sigmf-meta".length));

test.describe.configure({ mode: "serial" });

// Samples that are there already would not be new, so these tests have a house without any.
let house: House;
test.beforeAll(async () => {
  house = await openHouse();
  await remove(house, "/samples");
});
test.afterAll(() => house.close());

test("without samples the list of recordings says so and offers to add one", async ({ page }) => {
  await page.goto(`${house.address()}/recordings`);
  await expect(page.getByText(/no recording/i).first()).toBeVisible();
  await expect(page.getByRole("main").getByRole("button").first()).toBeVisible();
});

for (const name of names) {
  test(`${name}, uploaded as an archive and as a pair, gives what the command line gives`, async ({ page }) => {
    const [meta, data] = [join(samplesDir, `${name}.sigmf-meta`), join(samplesDir, `${name}.sigmf-data`)];
    const expected = telegramsOfCommand(meta);
    const archive = await archiveOf(name, sample(name));
    await page.goto(`${house.address()}/recordings`);
    const chooser = page.locator('input[type="file"]');

    await chooser.setInputFiles({ name: `${name}.sigmf`, mimeType: "application/octet-stream", buffer: archive });
    const first = await analysed();
    expect(await telegramsOf(first.hash)).toEqual(expected);
    await expect(
      page.getByRole("list", { name: "Recordings" }).getByRole("link", { name: new RegExp(name) }),
    ).toBeVisible();
    await remove(house, `/recordings/${first.hash}`);

    await page.reload();
    await chooser.setInputFiles([meta, data]);
    const second = await analysed();
    expect(second.hash).toBe(first.hash);
    expect(await telegramsOf(second.hash)).toEqual(expected);
    await remove(house, `/recordings/${second.hash}`);

    function analysed(): Promise<RecordingBody> {
      return soon(`${name} is analysed`, async () => {
        const [recording] = await ask<RecordingBody[]>(house, "/recordings");
        return recording?.analysis.state === "done" ? recording : undefined;
      });
    }

    async function telegramsOf(hash: string): Promise<unknown[]> {
      const stored = await ask<StoredTelegramBody[]>(house, `/recordings/${hash}/telegrams`);
      return stored.map(({ telegram: { file: _, ...said } }) => said);
    }
  });
}

/** What `wheelgram analyse --json` says in a process of its own; the file's name is left out. */
function telegramsOfCommand(file: string): unknown[] {
  const command = [join(top, "dist", "wheelgram.js"), "analyse", "--json", file];
  const lines = execFileSync(process.execPath, command, { maxBuffer: 64 * 2 ** 20 });
  return lines
    .toString()
    .split("\n")
    .filter((line) => line.includes('"kind":"telegram"'))
    .map((line) => {
      const { file: _, ...said } = JSON.parse(line);
      return said;
    });
}
