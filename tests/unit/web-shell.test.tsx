import { render } from "preact";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { emptyWheel } from "../../server/http/wire.ts";
import { App } from "../../web/App.tsx";
import { type Live, type LiveEvents, SILENT } from "../../web/live.ts";
import { type Answers, answering } from "../support/answering.ts";
import { job, layout, receiver, wheelLine } from "../support/wire-bodies.ts";

const page = document.createElement("div");

beforeEach(() => {
  document.body.replaceChildren(page);
  localStorage.clear();
});

afterEach(() => {
  close();
  vi.unstubAllGlobals();
});

function close(): void {
  void act(() => render(null, page));
}

/** Draws the whole of the pages at an address, with a server that answers as told. */
async function open(address: string, answers: Answers, live: Live = SILENT): Promise<ReturnType<typeof answering>> {
  const server = answering(answers);
  vi.stubGlobal("fetch", server.fetch);
  history.replaceState(null, "", address);
  await act(async () => render(<App live={live} />, page));
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

async function type(label: RegExp, text: string): Promise<void> {
  const found = [...page.querySelectorAll("label")].find((one) => label.test(one.textContent ?? ""));
  const box = page.querySelector<HTMLInputElement>(`[id="${found?.htmlFor}"]`);
  if (!box) throw new Error(`no box ${label}`);
  await act(async () => {
    box.value = text;
    box.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

const words = () => page.textContent ?? "";
const quiet: Answers = { "GET /receivers": [], "GET /jobs": [], "GET /layouts": [], "GET /quarantine": [] };

describe("the shell", () => {
  it("has the five entries, the one that is open marked, and the receivers' pill", async () => {
    await open("/layouts", { ...quiet, "GET /receivers": [receiver()] });
    const entries = [...page.querySelectorAll("nav.entries a")].map((one) => one.textContent);
    expect(entries).toEqual(["Jobs", "Bench", "Recordings", "Layouts", "Class"]);
    expect(page.querySelector("nav.entries [aria-current=page]")?.textContent).toBe("Layouts");
    expect(page.querySelector(".pill")?.textContent).toContain("1 listening · 433.92 MHz");
  });

  it("leads at first to the sample job, later to the entry that was used last", async () => {
    const answers = {
      ...quiet,
      "GET /jobs": [job({ id: "9QQ2" }), job({ sample: true })],
      "GET /jobs/7K3F": job(),
      "GET /jobs/7K3F/runs": [],
    };
    await open("/", answers);
    expect(location.pathname).toBe("/jobs/7K3F");
    close();
    await open("/layouts", answers);
    close();
    await open("/", answers);
    expect(location.pathname).toBe("/layouts");
  });

  it("follows its own links in place and leaves the others to the browser", async () => {
    await open("/help", quiet);
    await press(/^connect a receiver$/);
    expect(location.pathname).toBe("/receivers");
    expect(document.title).toBe("Receivers · Wheelgram");
    await open("/help", quiet);
    const outside = [...page.querySelectorAll("a")].find((one) => one.getAttribute("href") === "/help/api");
    const click = new MouseEvent("click", { bubbles: true, cancelable: true });
    const held = vi.fn((event: Event) => event.preventDefault());
    window.addEventListener("click", held); // nothing may be fetched from a test
    await act(() => void outside?.dispatchEvent(click));
    window.removeEventListener("click", held);
    expect(held).toHaveBeenCalledOnce();
    expect(location.pathname).toBe("/help");
  });

  it.each(["/class", "/nowhere", "/jobs", "/layouts", "/receivers", "/sending"])(
    "%s is not empty without a sentence and an action",
    async (address) => {
      await open(address, { ...quiet, "GET /exercise-sets": [] });
      // Some pages come when they are first opened.
      await vi.waitFor(() => settle().then(() => expect(page.querySelector(".empty")).not.toBeNull()), 20_000);
      const empty = page.querySelector(".empty");
      expect(empty?.querySelector("p")?.textContent).toMatch(/[.?]$/);
      expect(empty?.querySelectorAll("a, button")).toHaveLength(1);
    },
  );

  it("says what went wrong, and tries again", async () => {
    const server = await open("/jobs", quiet);
    server.answers["GET /layouts"] = {
      status: 503,
      problem: { title: "Not now", detail: "The disk is full.", nextSteps: ["Make room."] },
    };
    await press(/^Layouts$/);
    expect(page.querySelector("[role=alert]")?.textContent).toContain("The disk is full.Make room.");
    server.answers["GET /layouts"] = [layout()];
    await press(/^Try again$/);
    expect(words()).toContain("Port Merrow pilot cars");
  });

  it("says so when no server answers", async () => {
    await open("/layouts", quiet);
    vi.stubGlobal("fetch", () => Promise.reject(new TypeError("Failed to fetch")));
    await press(/^Jobs$/);
    expect(words()).toContain("The server does not answer");
  });

  it("keeps look and units on the device and changes what is shown alone", async () => {
    await open("/settings", quiet);
    const choose = async (label: string) => {
      const box = [...page.querySelectorAll("label")].find((one) => one.textContent === label)?.querySelector("input");
      await act(async () => box?.click());
    };
    await choose("Night bay");
    await choose("psi");
    expect(document.documentElement.dataset["theme"]).toBe("night");
    close();
    const server = await open("/jobs/7K3F", { ...quiet, "GET /jobs/7K3F": job(), "GET /jobs/7K3F/runs": [] });
    expect(words()).toContain("33.4\u202fpsi");
    expect(server.asked.every((one) => one.method === "GET")).toBe(true);
  });
});

describe("a job card", () => {
  const lines = [
    wheelLine(),
    wheelLine({
      position: "right rear",
      state: "not heard",
      identity: null,
      gaugeKpa: null,
      carrierHz: null,
      strength: "look here",
      finding: "Not heard.",
    }),
  ];
  const LOUD = { snrDb: 24, side: "this car", because: "as loud as this car's" } as const;
  const others = [
    { identity: "3a51bb04", telegramId: "t", layout: "pilot-car", carrierHz: 433_918_000, gaugeKpa: 234, ...LOUD },
  ];
  const card = job({ lines, others, wheels: lines.map(({ position, identity }) => emptyWheel(position, identity)) });
  const answers = { ...quiet, "GET /jobs/7K3F": card, "GET /jobs/7K3F/runs": [], "GET /receivers": [receiver()] };

  it("has a line for each wheel, with the two questions under the silent one", async () => {
    await open("/jobs/7K3F", answers);
    expect(page.querySelectorAll(".wheel-line")).toHaveLength(2);
    const silent = page.querySelector(".wheel-line-silent");
    expect([...(silent?.querySelectorAll("dt") ?? [])].map((one) => one.textContent)).toEqual([
      "Could we have heard it?",
      "Was it woken, and how?",
    ]);
    expect(page.querySelectorAll(".pressure-line .reading")).toHaveLength(1);
  });

  it("gives a wheel its sensor by one tap, with a way back", async () => {
    const server = await open("/jobs/7K3F", answers);
    await press(/the sensor of right rear/);
    server.answers["PATCH /jobs/7K3F"] = { ...card, revision: 4 };
    await press(/3a51bb04.*on no wheel yet/);
    expect(server.asked.at(-1)).toMatchObject({
      method: "PATCH",
      ifMatch: '"3"',
      body: { wheels: [card.wheels[0], emptyWheel("right rear", "3a51bb04")] },
    });
    await press(/^Undo$/);
    expect(server.asked.at(-1)).toMatchObject({ ifMatch: '"4"', body: { wheels: card.wheels } });
  });

  it("shows both versions where somebody else wrote the same entry, and writes only what is chosen", async () => {
    const server = await open("/jobs/7K3F", answers);
    await press(/^Edit the card$/);
    await type(/^Plate/, "MINE 1");
    server.answers["PATCH /jobs/7K3F"] = {
      status: 412,
      problem: { title: "Stale", detail: "Newer.", nextSteps: ["Look."] },
    };
    server.answers["GET /jobs/7K3F"] = { ...card, plate: "THEIRS 2", revision: 9 };
    await press(/^Done with the car$/);
    expect(page.querySelector(".conflict")?.textContent).toContain("MINE 1");
    expect(page.querySelector(".conflict")?.textContent).toContain("THEIRS 2");
    server.answers["PATCH /jobs/7K3F"] = { ...card, plate: "MINE 1", revision: 10 };
    await press(/^Write yours over it$/);
    const written = server.asked.filter(({ method }) => method === "PATCH");
    expect(written.at(-1)).toMatchObject({ ifMatch: '"9"', body: { plate: "MINE 1" } });
    expect(page.querySelector(".conflict")).toBeNull();
  });

  it("keeps what both wrote where it was not the same entry", async () => {
    const server = await open("/jobs/7K3F", answers);
    await press(/^Edit the card$/);
    await type(/^Vehicle/, "van");
    let writes = 0;
    server.answers["PATCH /jobs/7K3F"] = () => {
      writes++;
      const stale = { status: 412, problem: { title: "Stale", detail: "Newer.", nextSteps: ["Look."] } };
      return writes === 1 ? stale : { ...card, plate: "THEIRS 2", vehicle: "van", revision: 10 };
    };
    server.answers["GET /jobs/7K3F"] = { ...card, plate: "THEIRS 2", revision: 9 };
    await press(/^Done with the car$/);
    expect(page.querySelector(".conflict")).toBeNull();
    const written = server.asked.filter(({ method }) => method === "PATCH");
    expect(written.at(-1)).toMatchObject({ ifMatch: '"9"', body: { vehicle: "van" } });
    expect(words()).toContain("THEIRS 2");
  });

  it("keeps what is typed while the server is away, here and after a reload, and writes it when it is back", async () => {
    const server = await open("/jobs/7K3F", answers);
    await press(/^Edit the card$/);
    server.answers["PATCH /jobs/7K3F"] = {
      status: 507,
      problem: { title: "Full", detail: "Disk full.", nextSteps: [] },
    };
    await type(/^Plate/, "KEPT 1");
    await act(async () => new Promise((done) => setTimeout(done, 400)));
    expect(localStorage.getItem("wheelgram.draft.7K3F")).toContain('"plate":{"text":"KEPT 1","was":"AB 1"}');
    await press(/^Done with the car$/);
    close();
    const again = await open("/jobs/7K3F", answers);
    expect(again.asked.filter(({ method }) => method === "PATCH")).toEqual([]);
    again.answers["PATCH /jobs/7K3F"] = { ...card, plate: "KEPT 1", revision: 4 };
    await act(async () => new Promise((done) => setTimeout(done, 1500)));
    await settle();
    await act(async () => new Promise((done) => setTimeout(done, 400)));
    expect(again.asked.find(({ method }) => method === "PATCH")).toMatchObject({ body: { plate: "KEPT 1" } });
    expect(localStorage.getItem("wheelgram.draft.7K3F")).toBeNull();
    expect(words()).toContain("KEPT 1");
  });

  it("asks anew when the server tells that it changed", async () => {
    const listeners: Partial<Record<keyof LiveEvents, (body: never) => void>> = {};
    const live: Live = {
      listen: (kind, listener) => {
        listeners[kind] ??= listener;
        return () => undefined;
      },
    };
    const server = await open("/jobs/7K3F", answers, live);
    server.answers["GET /jobs/7K3F"] = { ...card, plate: "NEW 3", revision: 4 };
    await act(() => listeners.telegram?.({} as never));
    await settle();
    expect(words()).toContain("NEW 3");
  });

  it("starts and stops listening", async () => {
    const server = await open("/jobs/7K3F", answers);
    const run = { id: "a1", startedAt: "2026-11-25T09:00:00Z", endedAt: null };
    server.answers["POST /jobs/7K3F/runs"] = run;
    server.answers["GET /jobs/7K3F/runs"] = [run];
    await press(/^Start listening$/);
    expect(words()).toContain("Listening since");
    server.answers["PATCH /jobs/7K3F/runs/a1"] = { ...run, endedAt: "2026-11-25T09:02:00Z" };
    await press(/^Stop listening$/);
    expect(server.asked.find(({ method }) => method === "PATCH")).toMatchObject({
      ifMatch: '"3"',
      body: { ended: true },
    });
  });
});

describe("the receivers", () => {
  it("ask before one goes", async () => {
    const server = await open("/receivers", {
      ...quiet,
      "GET /receivers": [receiver()],
      "DELETE /receivers/r1": undefined,
    });
    await press(/^Remove/);
    expect(server.asked.some(({ method }) => method === "DELETE")).toBe(false);
    await press(/^Keep it$/);
    await press(/^Remove/);
    await press(/^Remove it$/);
    expect(server.asked.some(({ method }) => method === "DELETE")).toBe(true);
  });

  it("are not sent before every box does", async () => {
    const server = await open("/receivers", { ...quiet, "GET /serial-ports": [{ path: "/dev/ttyUSB0", name: "USB" }] });
    await press(/^Add a receiver$/);
    await press(/^Add it$/);
    expect(words()).toContain("Choose a port, or type its path.");
    expect(server.asked.some(({ method }) => method === "POST")).toBe(false);
    await type(/^Name/, "door");
    await press(/USB/);
    server.answers["POST /receivers"] = receiver({ name: "door" });
    await press(/^Add it$/);
    expect(server.asked.find(({ method }) => method === "POST")?.body).toEqual({
      kind: "serial",
      name: "door",
      path: "/dev/ttyUSB0",
      baudRate: 115200,
    });
  });
});

describe("a layout", () => {
  it("is drawn with all its bits, and told in words", async () => {
    await open("/layouts/pilot-car", { ...quiet, "GET /layouts/pilot-car": [layout()] });
    expect(page.querySelectorAll(".ruler .stretch").length).toBeGreaterThanOrEqual(9);
    expect(words()).toContain("CRC of 8 bits over bits 0 to 63");
    expect(words()).toContain("raw × 2.5 kPa, absolute");
  });

  it("that is refused shows each complaint with its key", async () => {
    const server = await open("/layouts", { ...quiet, "GET /layouts": [layout()] });
    await press(/^Put a file on the shelf$/);
    await type(/^Or its text/, '{"id":"X"}');
    const complaints = [{ path: "fields[2].bits", found: "70", allowed: "1 to 64" }];
    server.answers["POST /layouts"] = {
      status: 400,
      problem: { title: "No", detail: "It does not fit.", nextSteps: ["Mend it."], complaints },
    };
    await press(/^Put it on the shelf$/);
    expect(page.querySelector(".complaints")?.textContent).toBe("fields[2].bits: found 70, allowed 1 to 64");
  });
});
