import { spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { AxeBuilder } from "@axe-core/playwright";
import { expect, test } from "@playwright/test";
import { noFleet } from "../support/fleet.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type Nats, startNats } from "../support/nats.ts";
import { type Postgres, startPostgres } from "../support/postgres.ts";

const program = fileURLToPath(new URL("../../dist/wheelgram.js", import.meta.url));

test.describe("the page of a fleet", () => {
  test.skip(noFleet !== undefined, noFleet);
  test.describe.configure({ mode: "serial", timeout: 420_000 });
  let nats: Nats;
  let postgres: Postgres;
  let address = "";
  const ends: (() => Promise<void>)[] = [];

  test.beforeAll(async () => {
    test.setTimeout(240_000);
    [nats, postgres] = await Promise.all([startNats(3), startPostgres()]);
    const where = ["--fleet", nats.address, "--store", await postgres.database()];
    const said = await begin([
      "serve",
      "--port",
      "0",
      "--data",
      temporaryFolder("fleet"),
      "--name",
      "office",
      ...where,
    ]);
    address = /http:\S+/.exec(said)?.[0] ?? "";
    await begin(["work", "--workers", "1", "--name", "yard-1", "--cache", temporaryFolder("cache"), ...where]);
  });

  test.afterAll(async () => {
    for (const end of ends.reverse()) await end();
    await nats?.close();
    await postgres?.close();
  });

  /** @returns The first line that it says. */
  async function begin(args: readonly string[]): Promise<string> {
    const child = spawn(process.execPath, [program, ...args], { stdio: ["ignore", "pipe", "ignore"] });
    ends.push(async () => {
      const ended = new Promise((resume) => child.once("exit", resume));
      child.kill("SIGKILL");
      await ended;
    });
    return new Promise((resume, reject) => {
      child.stdout.once("data", (bytes: Buffer) => resume(bytes.toString()));
      child.once("exit", () => reject(new Error(`${args[0]} ended`)));
    });
  }

  test("shows who is there, in the navigation too", async ({ page }) => {
    await page.goto(`${address}/`);
    await page.getByRole("navigation", { name: "Besides" }).getByRole("link", { name: "Fleet" }).click();
    await expect(page.getByRole("heading", { level: 1, name: "Fleet" })).toBeVisible();
    await expect(page.getByRole("row", { name: /^yard-1 worker/ })).toContainText("64");
    await expect(page.getByRole("row", { name: /^office server/ })).toBeVisible();
    await expect(page.getByRole("row", { name: /^lines of receivers/ })).toContainText("current");
    await expect(page.getByRole("status")).toContainText("All servers answer", { timeout: 30_000 });
    for (const colorScheme of ["light", "dark"] as const) {
      for (const width of [1280, 320]) {
        await page.emulateMedia({ colorScheme });
        await page.setViewportSize({ width, height: 800 });
        const { violations } = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag22aa"]).analyze();
        expect(violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)])).toEqual([]);
        expect(await page.evaluate("document.documentElement.scrollWidth - innerWidth")).toBeLessThanOrEqual(0);
      }
    }
  });

  test("says what it means that one NATS server is gone, and then two", async ({ page }) => {
    await page.goto(`${address}/fleet`);
    await expect(page.getByRole("status")).toContainText("All servers answer", { timeout: 30_000 });
    await nats.servers[0]?.kill();
    await expect(page.getByRole("status")).toContainText("s0", { timeout: 120_000 });
    await expect(page.getByRole("status")).toContainText("The others go on and nothing is lost");
    await nats.servers[1]?.kill();
    await expect(page.getByRole("status")).toContainText("There is no quorum", { timeout: 120_000 });
    await expect(page.getByRole("status")).toContainText("With two of three running it goes on by itself.");
    await Promise.all([nats.servers[0]?.start(), nats.servers[1]?.start()]);
    await expect(page.getByRole("status")).toContainText("All servers answer", { timeout: 120_000 });
  });

  test("says that PostgreSQL is away, and that nothing is lost by it", async ({ page }) => {
    await page.goto(`${address}/fleet`);
    await postgres.kill();
    await expect(page.getByRole("status")).toContainText("PostgreSQL is away.", { timeout: 120_000 });
    await postgres.start();
    await expect(page.getByRole("status")).toContainText("All servers answer", { timeout: 120_000 });
  });
});
