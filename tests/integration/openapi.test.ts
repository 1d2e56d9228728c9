import { Validator } from "@seriousme/openapi-schema-validator";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { OpenApi } from "../../server/http/openapi.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { createDescribed } from "../support/http-described.ts";

let bench: HttpBench;
let document: OpenApi;
beforeAll(async () => {
  bench = await openBench();
  document = (await bench.ask("GET", "/openapi.json")).body;
});
afterAll(() => bench.close());

describe("the description of the interface", () => {
  it("is sound by the published schema of OpenAPI 3.1", async () => {
    const validator = new Validator();
    const { valid, errors } = await validator.validate(structuredClone(document));
    expect(errors).toBeUndefined();
    expect([valid, validator.version]).toEqual([true, "3.1"]);
  });

  // The paths that other programs may rely on, with their methods.
  it.each([
    ["/health", "get"],
    ["/recordings", "get post"],
    ["/recordings/{hash}", "get delete"],
    ["/recordings/{hash}/bursts", "get"],
    ["/recordings/{hash}/telegrams", "get"],
    ["/recordings/{hash}/signal", "get"],
    ["/recordings/{hash}/notes", "get post"],
    ["/telegrams", "get"],
    ["/telegrams/{id}", "get"],
    ["/receivers", "get post"],
    ["/receivers/{id}", "get patch delete"],
    ["/quarantine", "get"],
    ["/jobs", "get post"],
    ["/jobs/{id}", "get patch delete"],
    ["/jobs/{id}/runs", "get post"],
    ["/jobs/{id}/sheet", "get"],
    ["/layouts", "get post"],
    ["/layouts/{id}", "get"],
    ["/yards/plays", "post"],
    ["/makings", "post"],
    ["/events", "get"],
    ["/openapi.json", "get"],
  ])("has %s: %s", (path, methods) => {
    expect(Object.keys(document.paths[`/api/v1${path}`] ?? {}).join(" ")).toBe(methods);
  });

  it("leads every reference to a schema, and names every operation once", () => {
    const references = [...JSON.stringify(document).matchAll(/"\$ref":"([^"]+)"/g)].map(([, target]) => target);
    const schemas = Object.keys(document.components.schemas).map((name) => `#/components/schemas/${name}`);
    expect(references.length).toBeGreaterThan(20);
    expect(references.filter((target) => !schemas.includes(String(target)))).toEqual([]);
    const ids = Object.values(document.paths).flatMap((methods) =>
      Object.values(methods).map((one) => one.operationId),
    );
    expect(new Set(ids).size).toBe(ids.length);
  });

  it("is also a page to read, with every operation and every body", async () => {
    const text = await (await fetch(`${bench.address}/help/api`)).text();
    for (const path of Object.keys(document.paths)) expect(text).toContain(` ${path}</code></h2>`);
    for (const name of Object.keys(document.components.schemas)) expect(text).toContain(`id="schema-${name}"`);
    expect(text).not.toMatch(/<script|style=/);
  });
});

describe("an answer that is not as described is found", () => {
  const json = "application/json; charset=utf-8";
  const problem = { type: "/help/problems/x", title: "x", status: 404, detail: "x", nextSteps: ["x"] };

  it.each([
    ["a wrong value", ["GET", "/api/v1/health", 200, json, { status: "ill", version: "1" }]],
    ["a key too many", ["GET", "/api/v1/health", 200, json, { status: "ok", version: "1", more: 1 }]],
    ["a missing key", ["GET", "/api/v1/health", 200, json, { status: "ok" }]],
    ["a wrong element", ["GET", "/api/v1/jobs?x=1", 200, json, [{}]]],
    ["another status", ["GET", "/api/v1/health", 202, json, { status: "ok", version: "1" }]],
    ["another type", ["GET", "/api/v1/health", 200, "text/html", "<p>"]],
    ["a path that nobody describes", ["GET", "/api/v1/none", 200, json, {}]],
    ["a body where there is none", ["DELETE", "/api/v1/recordings/a", 204, json, {}]],
    [
      "a problem without a way out",
      ["GET", "/api/v1/jobs/x", 404, "application/problem+json", { ...problem, nextSteps: [] }],
    ],
    ["a problem as plain JSON", ["GET", "/api/v1/jobs/x", 404, json, problem]],
  ] as const)("%s", (_, [method, path, status, type, body]) => {
    expect(() => createDescribed(document).check(method, path, status, type, body)).toThrow();
  });

  it("and a sound one is let through", () => {
    const { check } = createDescribed(document);
    check("GET", "/api/v1/health", 200, json, { status: "ok", version: "1" });
    check("GET", "/api/v1/jobs/x", 404, "application/problem+json", problem);
    check("GET", "/api/v1/jobs", 200, json, []);
  });
});
