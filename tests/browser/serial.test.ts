import type { Page } from "@playwright/test";
import { noSerialPairs, type SerialPair, serialPair } from "../support/serial-pair.ts";
import type { House } from "./house.ts";
import { postJson } from "./http.ts";
import { sampleLines } from "./receiver.ts";
import { expect, test } from "./test.ts";

test("a serial line pulled away and given back is told in words", async ({ house, page }) => {
  test.skip(noSerialPairs !== undefined, noSerialPairs);
  const pair = serialPair();
  try {
    await pulledAndGivenBack(house, page, pair);
  } finally {
    await pair.close();
  }
});

async function pulledAndGivenBack(house: House, page: Page, pair: SerialPair): Promise<void> {
  const lines = sampleLines("sound-car");
  const bytes = (from: number, to: number) => Buffer.from(`${lines.slice(from, to).join("\n")}\n`);
  const first = await pair.plug();
  await postJson(house, "/receivers", { name: "kerb side", kind: "serial", path: pair.path, baudRate: 115_200 });
  await page.goto("/receivers");
  const kerb = page.getByRole("article", { name: "kerb side" });
  await first.send(bytes(0, 5));
  await expect(kerb).toContainText(/listening/i);

  await pair.unplug();
  await expect(kerb).toContainText(/unplugged/i, { timeout: 5000 });
  await expect(kerb).toContainText(/plug it in again/i);
  // It stays so while the port is looked for again and again.
  await page.waitForTimeout(2500);
  await expect(kerb).toContainText(/unplugged at .* nothing that was acknowledged is lost/i);

  const again = await pair.plug();
  await again.send(bytes(0, lines.length));
  await expect(kerb).toContainText(/listening/i, { timeout: 10_000 });
  await expect(kerb).not.toContainText(/unplugged/i);
}
