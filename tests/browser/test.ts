import { type BrowserContext, test as base, expect } from "@playwright/test";
import { type House, openHouse } from "./house.ts";

export { expect };

/** What a page may say in its console because the test asked for it, such as the refusal of a stale write. */
type Expected = RegExp[];

/**
 * `house`: a server for the tests of one worker, with its samples analysed. `page` opens on it by paths, and after every
 * test it is asserted that no page had a console error, a refusal by the content security policy or a failed script, and
 * that neither page nor server tried to leave the machine. `expected` takes what a test provokes.
 */
export const test = base.extend<{ expected: Expected; guarded: undefined }, { house: House }>({
  house: [
    // biome-ignore lint/correctness/noEmptyPattern: Playwright reads the names of the fixtures from it
    async ({}, use) => {
      const house = await openHouse();
      await use(house);
      await house.close();
      expect(house.log()).not.toContain("LEAVES THE MACHINE");
    },
    { scope: "worker", timeout: 150_000 },
  ],
  baseURL: async ({ house }, use) => use(house.address()),
  expected: async ({ browserName: _ }, use) => use([]),
  guarded: [
    async ({ context, expected }, use) => {
      const faults = watch(context);
      await use(undefined);
      expect(faults.filter((fault) => !expected.some((pattern) => pattern.test(fault)))).toEqual([]);
    },
    { auto: true },
  ],
});

/** Whoever stands at the open page while the server is off sees the browser's own complaint, by how far it had come. */
export const SERVER_OFF =
  /ERR_(CONNECTION_(REFUSED|RESET|CLOSED|ABORTED)|INCOMPLETE_CHUNKED_ENCODING|SOCKET_NOT_CONNECTED|EMPTY_RESPONSE)/;

/** Everything that no page of ours may do, as it happens. */
export function watch(context: BrowserContext): readonly string[] {
  const faults: string[] = [];
  context.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") {
      faults.push(`${message.type()}: ${message.text()} (${message.location().url})`);
    }
  });
  context.on("weberror", (error) => faults.push(`script: ${error.error().message}`));
  context.on("request", (request) => {
    const { protocol, hostname } = new URL(request.url());
    const inside = protocol === "data:" || protocol === "blob:" || hostname === "127.0.0.1";
    if (!inside) faults.push(`leaves the machine: ${request.url()}`);
  });
  return faults;
}
