import { rmSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { answered, type SeatWork } from "../../server/class/lesson.ts";
import type { Lesson } from "../../server/http/class/lessons.ts";
import type { OpenApi } from "../../server/http/openapi.ts";
import { rightAnswer, tinySet } from "../support/class-set.ts";
import { temporaryFolder } from "../support/folder.ts";
import { type HttpBench, openBench } from "../support/http-bench.ts";
import { type Raw, raw } from "../support/raw-request.ts";

let bench: HttpBench;
let aheadMs = 0;
beforeAll(async () => {
  bench = await openBench({ open: true, now: () => Date.now() + aheadMs });
});
afterAll(() => bench.close());

const outside = () => bench.network ?? { port: 0, host: "" };
const own = () => ({ host: outside().host, origin: `http://${outside().host}`, "sec-fetch-site": "same-origin" });

/** A phone on the network that keeps its key itself. */
interface Phone {
  readonly number: number;
  readonly key: string;
  readonly asked: Raw[];
  // biome-ignore lint/suspicious/noExplicitAny: a test says what it expects of it
  readonly ask: (method: string, path: string, json?: unknown) => Promise<{ status: number; body: any }>;
}

async function begun(seats = 12): Promise<Lesson> {
  return bench.house.lessons.begin(tinySet, seats);
}

function sit(code: string, more: object = {}, headers: Record<string, string> = own()): Promise<Raw> {
  return raw(outside().port, "/api/v1/seats", {
    method: "POST",
    headers: { ...headers, "content-type": "application/json" },
    body: JSON.stringify({ code, ...more }),
  });
}

async function phone(code: string, number?: number): Promise<Phone> {
  const joined = await sit(code, { tellKey: true, ...(number === undefined ? {} : { number }) });
  expect([joined.status, joined.text]).toEqual([201, joined.text]);
  const { key, seat } = JSON.parse(joined.text);
  const asked: Raw[] = [];
  return {
    number: seat.number,
    key,
    asked,
    async ask(method, path, json) {
      const answer = await raw(outside().port, `/api/v1${path}`, {
        method,
        headers: { ...own(), authorization: `Bearer ${key}`, "content-type": "application/json" },
        ...(json === undefined ? {} : { body: JSON.stringify(json) }),
      });
      asked.push(answer);
      return { status: answer.status, body: answer.text === "" ? undefined : JSON.parse(answer.text) };
    },
  };
}

const answerTo = (one: Phone, exercise: string, answer: unknown) =>
  one.ask("POST", `/seat/exercises/${exercise}/answers`, { answer });
const board = async (code: string) => (await bench.ask("GET", `/lessons/${code}`)).body;
// biome-ignore lint/suspicious/noExplicitAny: as the interface describes it
const cellOf = (body: any, number: number, exercise: string) =>
  body.board
    // biome-ignore lint/suspicious/noExplicitAny: as above
    .find((row: any) => row.number === number)
    // biome-ignore lint/suspicious/noExplicitAny: as above
    ?.cells.find((cell: any) => cell.exercise === exercise);

describe("a lesson", () => {
  it("shows on its board how three seats fare, each with a draw of its own", async () => {
    const lesson = await begun();
    const phones = [await phone(lesson.code), await phone(lesson.code), await phone(lesson.code, 7)];
    const [one, two, seven] = phones as [Phone, Phone, Phone];
    expect(phones.map(({ number }) => number)).toEqual([1, 2, 7]);
    const opened = await Promise.all(phones.map((each) => each.ask("POST", "/seat/exercises/gauge-pressure")));
    expect(opened.map(({ status }) => status)).toEqual([200, 200, 200]);
    expect(new Set(opened.map(({ body }) => body.material.question)).size).toBe(3);

    expect((await answerTo(one, "gauge-pressure", "7 kPa")).body).toMatchObject({
      right: false,
      sitting: { tries: 1 },
    });
    const right = await rightAnswer(bench, lesson, 1, "gauge-pressure");
    expect((await answerTo(one, "gauge-pressure", `${right} kPa`)).body).toMatchObject({
      right: true,
      sitting: { state: "solved", tries: 2, reveal: { says: expect.stringContaining("sesame") } },
    });
    for (const wrong of ["kiwi", "lime", "lime", "date"]) await answerTo(seven, "check-byte", wrong);
    await two.ask("POST", "/seat/exercises/gauge-pressure/hints", { after: 0 });
    const hinted = await two.ask("POST", "/seat/exercises/gauge-pressure/hints", { after: 0 });
    expect(hinted.body.hints).toEqual(["A gauge shows what is above the air outside."]); // sent twice, taken once

    const now = await board(lesson.code);
    expect(cellOf(now, 1, "gauge-pressure")).toMatchObject({ state: "solved", tries: 2, stuck: false });
    expect(cellOf(now, 2, "gauge-pressure")).toMatchObject({ state: "looking", hints: 1, tries: 0 });
    expect(cellOf(now, 7, "check-byte")).toMatchObject({ state: "looking", tries: 3, stuck: true });
    expect(cellOf(now, 7, "which-band")).toMatchObject({ state: "not begun" });
    expect(now.rungs).toContainEqual({ rung: "check", stuck: [7], says: "stuck at check: seat 7" });
    expect(now.exercises[0]).toMatchObject({ begun: 3, solved: 1, stuck: 0 });
    const seat = (await seven.ask("GET", "/seat")).body;
    expect(seat).toMatchObject({ number: 7, title: "Three quick ones" });
    expect(seat.exercises[1]).toMatchObject({ state: "looking", tries: 3, revealed: false });
  });

  it("finds a right answer of one seat wrong on another", async () => {
    const lesson = await begun();
    const [one, two] = [await phone(lesson.code), await phone(lesson.code)];
    const right = await rightAnswer(bench, lesson, 1, "gauge-pressure");
    expect(right).not.toBe(await rightAnswer(bench, lesson, 2, "gauge-pressure"));
    expect((await answerTo(two, "gauge-pressure", `${right} kPa`)).body.right).toBe(false);
    expect((await answerTo(one, "gauge-pressure", `${right} kPa`)).body.right).toBe(true);
  });

  it("gives a number to one phone alone, though two ask at once, and none beyond its last", async () => {
    const lesson = await begun(3);
    const both = await Promise.all([sit(lesson.code, { number: 2 }), sit(lesson.code, { number: 2 })]);
    expect(both.map(({ status }) => status).toSorted()).toEqual([201, 409]);
    const next = await Promise.all([sit(lesson.code), sit(lesson.code), sit(lesson.code)]);
    const numbers = next.filter(({ status }) => status === 201).map(({ text }) => JSON.parse(text).seat.number);
    expect(numbers.toSorted()).toEqual([1, 3]);
    expect(next.find(({ status }) => status !== 201)?.text).toContain("All 3 seats are taken.");
    expect((await sit(lesson.code, { number: 4 })).text).toContain("The seats go up to 3.");
  });

  it("shows an answer to whoever did not find it only once the instructor does", async () => {
    const lesson = await begun();
    const one = await phone(lesson.code);
    const path = "/seat/exercises/gauge-pressure/reveal";
    expect((await one.ask("POST", path)).status).toBe(409);
    const shown = (on: boolean) =>
      bench.ask("POST", `/lessons/${lesson.code}/reveal`, { json: { exercise: "gauge-pressure", on } });
    expect((await shown(true)).body.exercises[0].revealed).toBe(true);
    await shown(false);
    expect((await one.ask("POST", path)).status).toBe(409);
    await shown(true);
    expect((await one.ask("GET", "/seat")).body.exercises[0].revealed).toBe(true);
    expect((await one.ask("POST", path)).body).toMatchObject({
      state: "told",
      reveal: { says: expect.stringContaining("sesame") },
    });
    expect(cellOf(await board(lesson.code), 1, "gauge-pressure")).toMatchObject({ state: "told" });
    const right = await rightAnswer(bench, lesson, 1, "gauge-pressure");
    expect((await answerTo(one, "gauge-pressure", `${right} kPa`)).body.sitting.state).toBe("told");
  });

  it("is wiped in one act: no key opens anything, and every number is free", async () => {
    const lesson = await begun();
    const [one, two] = [await phone(lesson.code), await phone(lesson.code)];
    await answerTo(one, "which-band", "high");
    const wiped = await bench.ask("POST", `/lessons/${lesson.code}/reset`);
    expect(wiped.body.board).toEqual([]);
    for (const each of [one, two]) expect(await each.ask("GET", "/seat")).toMatchObject({ status: 401 });
    expect((await answerTo(one, "which-band", "low")).body.type).toBe("/help/problems/no-seat");
    expect(await bench.house.store.seatsOf(lesson.code)).toEqual([]);
    const again = await phone(lesson.code, 1);
    expect((await again.ask("GET", "/seat")).body.exercises[2].state).toBe("not begun");
    expect((await one.ask("GET", "/seat")).status).toBe(401); // the old key does not open the new seat
  });

  it("that was wiped while an answer was judged takes nothing of it to whoever has the number now", async () => {
    const lesson = await begun();
    const { lessons } = bench.house;
    const { seat } = await lessons.join(lesson.code, 4, "test");
    await lessons.reset(lesson.code);
    const change = (work: SeatWork, at: string) => answered(work, "which-band", "high", false, at);
    await expect(lessons.goOn(seat, change)).rejects.toMatchObject({ problem: "no-seat" });
    await lessons.join(lesson.code, 4, "test");
    await expect(lessons.goOn(seat, change)).rejects.toMatchObject({ problem: "no-seat" });
    expect(cellOf(await board(lesson.code), 4, "which-band")).toMatchObject({ state: "not begun" });
  });

  it("that ended lets nobody in and nobody on, and keeps its board", async () => {
    const lesson = await begun();
    const one = await phone(lesson.code);
    await answerTo(one, "which-band", "low");
    expect((await bench.ask("DELETE", `/lessons/${lesson.code}`)).body.endedAt).toEqual(expect.any(String));
    expect((await one.ask("GET", "/seat")).status).toBe(401);
    expect((await sit(lesson.code)).status).toBe(404);
    expect((await bench.ask("POST", `/lessons/${lesson.code}/reset`)).status).toBe(409);
    expect(cellOf(await board(lesson.code), 1, "which-band")).toMatchObject({ state: "solved" });
  });

  it("goes on after the server was started anew, with the same seats and draws, and wiped ones stay wiped", async () => {
    const data = temporaryFolder("lesson");
    const first = await openBench({ data, open: true });
    const before = bench;
    try {
      bench = first;
      const lesson = await begun();
      const one = await phone(lesson.code);
      const question = (await one.ask("POST", "/seat/exercises/gauge-pressure")).body.material.question;
      await answerTo(one, "gauge-pressure", "1 kPa");
      const gone = await begun();
      const two = await phone(gone.code);
      await bench.ask("POST", `/lessons/${gone.code}/reset`);
      await bench.close();
      bench = await openBench({ data, open: true });
      const opened = await one.ask("POST", "/seat/exercises/gauge-pressure");
      expect(opened.body).toMatchObject({ tries: 1, material: { question } });
      expect(cellOf(await board(lesson.code), 1, "gauge-pressure")).toMatchObject({ tries: 1 });
      expect((await two.ask("GET", "/seat")).status).toBe(401);
      await bench.close();
    } finally {
      bench = before;
      rmSync(data, { recursive: true, force: true });
    }
  });

  it("is checked beforehand: every draw is made, and what a phone needs is said", async () => {
    const lesson = await begun(4);
    const room = `/lessons/${lesson.code}/room`;
    expect((await bench.ask("GET", room)).body).toMatchObject({ prepared: 0, of: 12, running: false });
    await bench.ask("POST", room);
    await expect
      .poll(async () => (await bench.ask("GET", room)).body, { timeout: 20_000 })
      .toMatchObject({
        prepared: 12,
        running: false,
        findings: [
          { about: "draws", isReady: true },
          { about: "network", isReady: true, says: expect.stringContaining(outside().host) },
          { about: "disk", says: expect.stringMatching(/GB/) },
        ],
      });
  });

  it("tells the board of what happens, and of many at once in one", async () => {
    const lesson = await begun();
    const told: string[] = [];
    const stop = await bench.house.events.listen(undefined, {
      tell: ({ type, text }) => void (type === "lesson" && text.includes(lesson.code) && told.push(text)),
      begin: () => undefined,
      end: () => undefined,
      room: async () => true,
    });
    await expect.poll(() => told).toEqual([JSON.stringify({ code: lesson.code })]); // that it began
    told.length = 0;
    await Promise.all(Array.from({ length: 12 }, () => bench.house.lessons.join(lesson.code, undefined, "test")));
    await expect.poll(() => told.length).toBeGreaterThan(0);
    await new Promise((resume) => setTimeout(resume, 400));
    expect(told.length).toBeLessThan(4); // on a machine that is busy they may come apart
    stop();
  });
});

describe("a seat", () => {
  it("opens nothing but itself, whatever the interface has", async () => {
    const lesson = await begun();
    const one = await phone(lesson.code);
    const document: OpenApi = (await bench.ask("GET", "/openapi.json")).body;
    const all = Object.entries(document.paths).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => [method.toUpperCase(), path.replace("/api/v1", "")] as const),
    );
    const mine = /^\/seat(\/|$)/;
    const free = new Set(["GET /health", "GET /network", "POST /devices", "POST /seats"]);
    const others = all.filter(([method, path]) => !mine.test(path) && !free.has(`${method} ${path}`));
    expect(others.length).toBeGreaterThan(100);
    expect(all.length - others.length).toBe(4 + 5); // what is free, and the five of a seat
    for (const [method, path] of others) {
      const there = path
        .replace("{code}", lesson.code)
        .replace("{exercise}", "which-band")
        .replaceAll(/\{\w+\}/g, "x");
      const { status, body } = await one.ask(method, there, method === "GET" ? undefined : {});
      expect([method, path, status, body?.type]).toEqual([method, path, 401, "/help/problems/not-paired"]);
    }
    // Nor with the cookie, nor by another spelling.
    const spelled = [
      "/seat/../jobs",
      "/seat%2f..%2fjobs",
      "/seat/%2e%2e/jobs",
      "/SEAT/x",
      "/seats",
      "/seat/../../v1/jobs",
    ];
    for (const path of spelled) {
      const { status, body } = await one.ask("GET", path);
      expect([path, [401, 404, 405].includes(status), Array.isArray(body)]).toEqual([path, true, false]);
    }
    expect((await one.ask("GET", "/seat")).status).toBe(200);
  });

  it("is no device: neither its cookie in a device's place nor its key lets anybody in", async () => {
    const { code } = await begun();
    const one = await phone(code);
    for (const name of ["wheelgram-device", "__Host-wheelgram-device"]) {
      const headers = { ...own(), cookie: `${name}=${one.key}` };
      expect((await raw(outside().port, "/api/v1/jobs", { headers })).status).toBe(401);
    }
    expect((await bench.ask("GET", "/devices")).body).toEqual([]);
    expect((await one.ask("GET", "/network")).body).toMatchObject({ device: null, addresses: [], deviceCount: 0 });
  });

  it("of a browser is a cookie that no script can read, and that no foreign page can use", async () => {
    const { code } = await begun();
    const joined = await sit(code);
    expect(JSON.parse(joined.text).key).toBeNull();
    const [set = ""] = joined.headers["set-cookie"] ?? [];
    expect(set).toMatch(/^wheelgram-seat=[\w-]{43}; Path=\/; Max-Age=\d+; HttpOnly; SameSite=Strict$/);
    const cookie = set.split(";")[0] ?? "";
    const answer = (headers: Record<string, string>) =>
      raw(outside().port, "/api/v1/seat/exercises/which-band/answers", {
        method: "POST",
        headers: { ...headers, cookie, "content-type": "application/json" },
        body: JSON.stringify({ answer: "high" }),
      });
    expect((await answer(own())).status).toBe(200);
    expect((await answer({ host: outside().host })).status).toBe(403);
    expect((await answer({ ...own(), origin: "https://evil.example" })).status).toBe(403);
    await bench.ask("POST", `/lessons/${code}/reset`);
    const after = await raw(outside().port, "/api/v1/seat", { headers: { ...own(), cookie } });
    expect([after.status, after.headers["set-cookie"]?.[0]]).toEqual([
      401,
      expect.stringMatching(/^wheelgram-seat=; .*Max-Age=0;/),
    ]);
  });

  it("is told nothing before the reveal that holds a seed, the secret, an answer, or another seat", async () => {
    const lesson = await begun();
    const [one, two] = [await phone(lesson.code), await phone(lesson.code, 9)];
    const others: string[] = [await rightAnswer(bench, lesson, 9, "gauge-pressure")];
    await answerTo(two, "gauge-pressure", "4711.25 kPa");
    for (const { id } of tinySet.exercises) {
      await one.ask("POST", `/seat/exercises/${id}`);
      for (const after of [0, 1, 2]) await one.ask("POST", `/seat/exercises/${id}/hints`, { after });
      await answerTo(one, id, id === "which-band" ? "high" : "8");
      await one.ask("POST", `/seat/exercises/${id}/reveal`);
    }
    await one.ask("GET", "/seat");
    await one.ask("POST", "/seat/exercises/none");
    const seeds = [1, 9].flatMap((n) => tinySet.exercises.map(({ id }) => bench.house.lessons.seedOf(lesson, n, id)));
    const secret = (await bench.house.store.setting("class secret")) ?? "";
    expect(secret).toHaveLength(43);
    const keys = (await bench.house.store.seatsOf(lesson.code)).map(({ keyHash }) => keyHash ?? "none");
    const right = await rightAnswer(bench, lesson, 1, "gauge-pressure");
    const word = await rightAnswer(bench, lesson, 1, "check-byte");
    const hidden = [...seeds, secret, ...keys, one.key, two.key, ...others, `${right} kPa`, "4711", "sesame", word];
    const said = one.asked.map(({ text, headers }) => text + JSON.stringify(headers)).join("\n");
    expect(said).toContain("A gauge shows what is above");
    for (const one of hidden) expect([one, said.includes(one)]).toEqual([one, false]);
    expect(said).not.toMatch(/"(seed|solvedBy|wrong|draws)"/);
    expect(one.asked.filter(({ status }) => status === 200).length).toBeGreaterThan(10);
  });

  it("left by a phone that takes another number is free again, as long as nothing was begun on it", async () => {
    const { code } = await begun(6);
    const cookieOf = (answer: Raw) => answer.headers["set-cookie"]?.[0]?.split(";")[0] ?? "";
    const first = await sit(code, { number: 3 });
    const second = await sit(code, { number: 5 }, { ...own(), cookie: cookieOf(first) });
    expect((await board(code)).board.map(({ number }: { number: number }) => number)).toEqual([5]);
    const cookie = cookieOf(second);
    await raw(outside().port, "/api/v1/seat/exercises/which-band", { method: "POST", headers: { ...own(), cookie } });
    await sit(code, { number: 6 }, { ...own(), cookie });
    expect((await board(code)).board.map(({ number }: { number: number }) => number)).toEqual([5, 6]);
  });

  it("runs out after seven days, though nobody ended the lesson", async () => {
    const { code } = await begun();
    const one = await phone(code);
    aheadMs = 7 * 24 * 3600_000;
    expect((await one.ask("GET", "/seat")).status).toBe(401);
    expect((await sit(code)).status).toBe(404);
    aheadMs = 0;
    expect((await one.ask("GET", "/seat")).status).toBe(200);
  });
});

describe("a code", () => {
  it("is read whatever its case, spaces and dashes, and has only characters that nobody mistakes", async () => {
    const { code } = await begun();
    expect(code).toMatch(/^[2-9A-HJKMNP-TV-Z]{5}$/);
    expect((await sit(`${code.slice(0, 2).toLowerCase()} ${code.slice(2)}-`)).status).toBe(201);
  });

  it("cannot be tried out: after thirty wrong ones in a minute nobody from there sits down, right or not", async () => {
    const { code } = await begun();
    const one = await phone(code);
    aheadMs = 2 * 60_000; // what was wrong before is forgotten
    for (let i = 0; i < 30; i++) expect((await sit("22222")).status).toBe(404);
    const refused = await sit(code);
    expect([refused.status, Number(refused.headers["retry-after"]) > 0]).toEqual([429, true]);
    expect((await one.ask("GET", "/seat")).status).toBe(200); // whoever sits already is not shut out
    aheadMs = 4 * 60_000;
    expect((await sit(code)).status).toBe(201);
    aheadMs = 0;
  });
});
