import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { addressOf, entryOf, type Route, routeOf, wheelSlug } from "../../web/model/route.ts";

describe("an address", () => {
  it.each<[string, Route]>([
    ["/", { page: "start" }],
    ["/jobs", { page: "jobs" }],
    ["/jobs/7K3F", { page: "job", id: "7K3F" }],
    ["/jobs/7K3F/left-front", { page: "wheel", id: "7K3F", wheel: "left-front" }],
    ["/recordings/0f3a", { page: "recording", hash: "0f3a" }],
    ["/layouts/pilot-car@2", { page: "layout", id: "pilot-car", version: 2 }],
    ["/layouts/pilot-car", { page: "layout", id: "pilot-car", version: undefined }],
    ["/compare", { page: "compare" }],
    ["/receivers", { page: "receivers" }],
    ["/sending", { page: "sending" }],
    ["/studies", { page: "studies" }],
    ["/studies/new", { page: "newStudy" }],
    ["/studies/7K3F", { page: "study", id: "7K3F" }],
    ["/class/collisions", { page: "collisions" }],
    ["/class/make", { page: "make" }],
    ["/class/two-bands", { page: "twoBands" }],
  ])("%s leads to its page and back", (path, route) => {
    expect(routeOf(path)).toEqual(route);
    expect(addressOf(route)).toBe(path);
  });

  it("of a job can be typed in small letters, as it is said over the phone", () => {
    expect(routeOf("/jobs/7k3f")).toEqual({ page: "job", id: "7K3F" });
  });

  it.each([
    "/nowhere",
    "/jobs/7K3F/left-front/more",
    "/settings/x",
    "/compare/x",
    "/collisions",
    "/make",
    "/class/make/x",
    "/class/three-bands",
    "/class/two-bands/x",
    "/layouts/a@0",
    "/layouts/a@x",
    "/help/api",
    "/api/v1/jobs",
  ])("%s is no page of ours", (path) => {
    expect(routeOf(path)).toBeUndefined();
  });

  it("of any layout leads back to that layout", () => {
    fc.assert(
      fc.property(
        fc.stringMatching(/^[a-z0-9]+(-[a-z0-9]+)*$/),
        fc.option(fc.integer({ min: 1, max: 9999 })),
        (id, version) => {
          const route: Route = { page: "layout", id, version: version ?? undefined };
          expect(routeOf(addressOf(route))).toEqual(route);
        },
      ),
    );
  });

  it("with a stray % does not throw", () => {
    expect(routeOf("/recordings/%")).toEqual({ page: "recording", hash: "%" });
  });
});

describe("an entry", () => {
  it("is lit for every page that lies under it", () => {
    expect(entryOf({ page: "wheel", id: "7K3F", wheel: "spare" })).toBe("jobs");
    expect(entryOf({ page: "layout", id: "pilot-car", version: 1 })).toBe("layouts");
    expect(entryOf({ page: "class" })).toBe("class");
    expect(entryOf({ page: "collisions" })).toBe("class");
    expect(entryOf({ page: "make" })).toBe("class");
    expect(entryOf({ page: "twoBands" })).toBe("class");
    expect(entryOf({ page: "compare" })).toBe("recordings");
  });

  it("is not lit for what stands beside the five", () => {
    expect(entryOf({ page: "settings" })).toBeUndefined();
    expect(entryOf({ page: "start" })).toBeUndefined();
  });
});

it("a wheel's position is written with hyphens", () => {
  expect(wheelSlug("Left rear inner")).toBe("left-rear-inner");
});
