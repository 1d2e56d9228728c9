import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { OpenApi } from "../../server/http/openapi.ts";
import { ACTIONS } from "../../web/model/actions.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { runCommand } from "../support/run-command.ts";

let bench: HttpBench;
let document: OpenApi;
beforeAll(async () => {
  bench = await openBench();
  document = (await bench.ask("GET", "/openapi.json")).body;
});
afterAll(() => bench.close());

describe("what another program asks for in place of an action", () => {
  it("is in the description of the interface", () => {
    const asked = [...new Set(ACTIONS.map(({ counterpart }) => counterpart))].filter((one) => /^[A-Z]+ \//.test(one));
    expect(asked.length).toBeGreaterThan(20);
    const missing = asked.filter((one) => {
      const [method = "", path = ""] = one.split(" ");
      return document.paths[`/api/v1${path}`]?.[method.toLowerCase()] === undefined;
    });
    expect(missing).toEqual([]);
  });

  it("is a command with such an option", async () => {
    const asked = [...new Set(ACTIONS.map(({ counterpart }) => counterpart))].filter((one) =>
      one.startsWith("wheelgram"),
    );
    expect(asked.length).toBeGreaterThan(0);
    for (const command of asked) {
      const [, name = "", ...options] = command.split(" ");
      const { stdout, status } = await runCommand([name, "--help"]);
      expect(status, command).toBe(0);
      for (const option of options) expect(stdout, command).toContain(option);
    }
  });
});
