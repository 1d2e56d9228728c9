import { render } from "preact";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { LotBody } from "../../server/http/wire/lots.ts";
import { LiveContext, type LiveEvents, type SILENT } from "../../web/live.ts";
import { Bench, type BenchRoute } from "../../web/pages/bench/Bench.tsx";
import { type Answers, answering } from "../support/answering.ts";
import { errorAt, lotBody, specimen } from "../support/lot-bodies.ts";
import { receiver } from "../support/wire-bodies.ts";

const page = document.createElement("div");

beforeEach(() => {
  document.body.replaceChildren(page);
  localStorage.clear();
});

afterEach(() => {
  void act(() => render(null, page));
  vi.unstubAllGlobals();
  vi.useRealTimers();
});

const listeners = new Map<string, Set<(body: unknown) => void>>();
const live: typeof SILENT = {
  listen(kind, listener) {
    const all = listeners.get(kind) ?? new Set();
    listeners.set(kind, all);
    const hear = (body: unknown) => listener(body as LiveEvents[typeof kind]);
    all.add(hear);
    return () => void all.delete(hear);
  },
};

async function open(route: BenchRoute, search: string, answers: Answers): Promise<ReturnType<typeof answering>> {
  const server = answering({ "GET /receivers": [receiver()], "GET /layouts": [], "GET /recordings": [], ...answers });
  vi.stubGlobal("fetch", server.fetch);
  history.replaceState(null, "", `/bench/7Q4X${search}`);
  await act(async () =>
    render(
      <LiveContext.Provider value={live}>
        <Bench route={route} />
      </LiveContext.Provider>,
      page,
    ),
  );
  await settle();
  return server;
}

async function settle(): Promise<void> {
  for (let i = 0; i < 5; i++) await act(async () => new Promise((done) => setTimeout(done, 0)));
}

async function press(name: RegExp): Promise<void> {
  const button = [...page.querySelectorAll<HTMLElement>("button, a")].find((one) => name.test(one.textContent ?? ""));
  if (!button) throw new Error(`no button ${name} in: ${page.textContent}`);
  await act(async () => button.click());
  await settle();
}

function box(label: RegExp): HTMLInputElement {
  const found = [...page.querySelectorAll("label")].find((one) => label.test(one.textContent ?? ""));
  const input = page.querySelector<HTMLInputElement>(`[id="${found?.htmlFor}"]`);
  if (!input) throw new Error(`no box ${label}`);
  return input;
}

async function type(label: RegExp, text: string): Promise<HTMLInputElement> {
  const input = box(label);
  await act(async () => {
    input.value = text;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });
  return input;
}

async function leave(input: HTMLInputElement): Promise<void> {
  await act(async () => {
    input.dispatchEvent(new Event("blur"));
  });
}

const words = () => page.textContent ?? "";
const LOT: BenchRoute = { page: "lot", id: "7Q4X" };
const patched = (server: ReturnType<typeof answering>) =>
  server.asked.filter(({ method }) => method === "PATCH").map(({ body }) => body);

describe("the list of lots", () => {
  it("has a sentence where there is none, and begins one that listens to what is there", async () => {
    const server = await open({ page: "bench" }, "", { "GET /lots": [], "POST /lots": lotBody() });
    const empty = page.querySelector(".empty");
    expect(empty?.querySelector("p")?.textContent).toMatch(/^No lot yet\..*\.$/);
    expect(empty?.querySelectorAll("a, button")).toHaveLength(1);
    await press(/^New lot/);
    expect(server.asked.find(({ method }) => method === "POST")?.body).toEqual({ receiverIds: ["r1"] });
    expect(location.pathname).toBe("/bench/7Q4X");
  });
});

describe("setting up a lot", () => {
  it("writes what is typed when its box is left, and says of the gauge what the server finds", async () => {
    const after = lotBody({
      revision: 4,
      ratio: {
        ratio: 0.6,
        enough: false,
        gaugeExpandedKpa: 11.7,
        neededExpandedKpa: 1.75,
        widestWithinKpa: 0,
        says: "Too coarse: 0.6 to 1.",
      },
    });
    const server = await open(LOT, "", { "GET /lots/7Q4X": lotBody(), "PATCH /lots/7Q4X": after });
    expect(words()).toContain("Is this gauge good enough? That is told here");
    const input = await type(/^Limit of error ±/, "10");
    await leave(input);
    await settle();
    expect(patched(server)).toEqual([{ gauge: { ...lotBody().gauge, errorKpa: 10 } }]);
    expect(words()).toContain("Is this gauge good enough? No Too coarse: 0.6 to 1.");
  });

  it("prints what no pot tests", async () => {
    await open(LOT, "", { "GET /lots/7Q4X": lotBody({ notTested: ["Waking by rolling: nothing turns in the pot."] }) });
    expect(words()).toContain("Waking by rolling");
  });

  it("keeps both where another wrote the same, until one is chosen", async () => {
    const theirs = lotBody({ revision: 5, supplier: "Theirs" });
    const stale = { status: 412, problem: { title: "Stale", detail: "", nextSteps: [] } };
    const answers: Answers = { "GET /lots/7Q4X": lotBody(), "PATCH /lots/7Q4X": stale };
    const server = await open(LOT, "", answers);
    server.answers["GET /lots/7Q4X"] = theirs;
    const input = await type(/^Supplier/, "Mine");
    await leave(input);
    await settle();
    expect(words()).toContain("This lot was changed elsewhere while you wrote");
    expect(words()).toContain("Theirs");
    await press(/^Keep what is there/);
    expect(box(/^Supplier/).value).toBe("Theirs");
  });
});

describe("registering", () => {
  const rows = [
    specimen(1, { flags: [{ kind: "duplicate", says: "It is the identity of specimen 2 too." }] }),
    specimen(2, { identity: null, state: "no answer", says: "It was woken once without an answer.", lastAt: null }),
    specimen(3, { identity: null, state: "not heard yet", wakes: 0, lastAt: null }),
  ];
  const lot = lotBody({ rows, sample: 3, receiverIds: ["r1"] });

  it("marks a wake with one press, and takes it back with another", async () => {
    const wake = { number: 3, at: "2026-11-25T09:02:00.000Z" };
    const server = await open(LOT, "?at=register", {
      "GET /lots/7Q4X": lot,
      "POST /lots/7Q4X/wakes": { ...lot, revision: 4, wakes: [wake] },
      "PATCH /lots/7Q4X": { ...lot, revision: 5 },
    });
    expect(words()).toContain("Just heard15e100001");
    expect(words()).toContain("It is the identity of specimen 2 too.");
    await press(/^Woken: specimen 3/);
    expect(server.asked.at(-1)).toMatchObject({ path: "/lots/7Q4X/wakes", body: { number: 3 }, ifMatch: null });
    await press(/^Undo/);
    expect(patched(server)).toEqual([{ wakes: [] }]);
    await press(/^Woken again/);
    expect(server.asked.findLast(({ method }) => method === "POST")).toMatchObject({
      path: "/lots/7Q4X/wakes",
      body: { number: 2 },
    });
  });

  it("puts aside what is not of this lot, and takes it back", async () => {
    const others = [{ identity: "ffff0001", telegrams: 2, because: "Put aside.", aside: true }];
    const server = await open(LOT, "?at=register", {
      "GET /lots/7Q4X": { ...lot, aside: ["ffff0001"], others },
      "PATCH /lots/7Q4X": { ...lot, revision: 4, aside: [], others: [] },
    });
    await press(/^Back into the lot/);
    await press(/^Not of this lot/);
    expect(patched(server)).toEqual([{ aside: [] }, { aside: ["5e100001"] }]);
  });

  it("asks anew, once, for a lot that changed elsewhere", async () => {
    const server = await open(LOT, "?at=register", { "GET /lots/7Q4X": lot });
    server.answers["GET /lots/7Q4X"] = { ...lot, revision: 9, rows: [specimen(7)] };
    await act(async () => {
      for (const hear of listeners.get("lot") ?? []) hear({ id: "7Q4X", revision: 9 });
    });
    await settle();
    expect(words()).toContain("Just heard7");
  });
});

describe("set points", () => {
  const fill: LotBody["fills"][number] = {
    id: "a1",
    gaugeKpa: 100.4,
    temperatureC: null,
    setPoint: null,
    at: "2026-11-25T09:05:00.000Z",
    endedAt: null,
  };
  const worked: LotBody["workedFills"][number] = {
    ...fill,
    from: "entry",
    setPoint: 0,
    gaugeMovedKpa: null,
    settledFrom: null,
    settledTo: null,
    used: 0,
    leftOut: 2,
    says: "Not still yet: 2 telegrams so far.",
  };
  const rows = [specimen(1, { missing: [0] }), specimen(2), specimen(3, { state: "no answer", missing: [0] })];
  const lot = lotBody({ rows, revision: 3 });
  const filled = lotBody({ rows, revision: 4, fills: [fill], workedFills: [worked] });

  async function enter(label: RegExp): Promise<void> {
    const form = box(label).closest("form");
    await act(async () => {
      form?.dispatchEvent(new Event("submit", { bubbles: true, cancelable: true }));
    });
    await settle();
  }

  it("takes the gauge once for all specimens, and says whom it still waits for", async () => {
    const server = await open(LOT, "?at=set-points", { "GET /lots/7Q4X": lot, "POST /lots/7Q4X/fills": filled });
    expect(words()).toContain("set point 1 of 5100\u202fkPa");
    await type(/^The gauge shows/, "100,4");
    await enter(/^The gauge shows/);
    expect(server.asked.at(-1)?.body).toEqual({ gaugeKpa: 100.4, temperatureC: null, setPoint: null });
    expect(words()).toContain("Still to be read: 1Not heard at all: 3");
    expect(box(/gauge shows/).value).toBe("");
  });

  it("asks for a figure that is none, and keeps what was typed where the server does not take it", async () => {
    const refused = { status: 503, problem: { title: "Full", detail: "No room.", nextSteps: [] } };
    await open(LOT, "?at=set-points", { "GET /lots/7Q4X": lot, "POST /lots/7Q4X/fills": refused });
    await enter(/^The gauge shows/);
    expect(words()).toContain("Type what the gauge shows.");
    await type(/^The gauge shows/, "101");
    await enter(/^The gauge shows/);
    expect(words()).toContain("No room.");
    expect(box(/^The gauge shows/).value).toBe("101");
  });

  it("corrects a fill, and lets the pot down", async () => {
    const server = await open(LOT, "?at=set-points", { "GET /lots/7Q4X": filled, "PATCH /lots/7Q4X": filled });
    await press(/^Correct this fill/);
    await type(/^Gauge/, "100.6");
    await enter(/^Gauge/);
    expect(patched(server)).toEqual([{ fills: [{ ...fill, gaugeKpa: 100.6 }] }]);
    await press(/^Let it down now/);
    const [
      ,
      {
        fills: [ended],
      } = { fills: [] },
    ] = patched(server) as { fills: LotBody["fills"] }[];
    expect(ended?.endedAt).toBe("now");
  });
});

describe("deciding", () => {
  const rows = [
    specimen(1, errorAt(0, 1, "within")),
    specimen(2, { verdict: "outside", because: "Pressure at 100 kPa, up: too far.", ...errorAt(0, -12, "outside") }),
  ];
  const counts = { within: 1, outside: 1, cannotTell: 0, leftOut: 0 };

  it("tells the three verdicts, and leads to the record as page, PDF and files", async () => {
    await open(LOT, "?at=decide", { "GET /lots/7Q4X": lotBody({ rows, counts }), "GET /lots": [] });
    expect(words()).toContain("1 within, 1 outside, 0 cannot tell");
    expect(words()).toContain("Outside at some pressure: specimen 2");
    const links = [...page.querySelectorAll("a")].map(({ pathname, search }) => pathname + search);
    for (const path of ["record?paper=a4", "record?paper=letter", "record.pdf", "export?as=csv", "export?as=json"]) {
      expect(links).toContain(`/api/v1/lots/7Q4X/${path}`);
    }
  });

  it("reads the errors off one after the other by keys", async () => {
    await open(LOT, "?at=decide", { "GET /lots/7Q4X": lotBody({ rows, counts }), "GET /lots": [] });
    const plot = page.querySelector('[role="slider"]');
    const key = (name: string) =>
      act(async () => {
        plot?.dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
      });
    await key("End");
    expect(plot?.getAttribute("aria-valuetext")).toBe("Specimen 2 at 100\u202fkPa up: −12.0 ± 1.0\u202fkPa, outside");
    await key("ArrowLeft");
    expect(plot?.getAttribute("aria-valuenow")).toBe("1");
  });
});
