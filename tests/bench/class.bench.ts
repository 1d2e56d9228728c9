import { mkdtempSync, rmSync } from "node:fs";
import { get } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chance } from "../../seeds/noise.ts";
import type { ExerciseSet } from "../../server/class/exercise.ts";
import { createExerciseSets } from "../../server/http/class/exerciseSets.ts";
import { RoomBody } from "../../server/http/wire/lessons.ts";
import { openSqliteStore } from "../../server/store/sqlite.ts";
import { tinySet } from "../support/class-set.ts";
import { phoneOf, type Sent, startClassServer } from "./classLoad.ts";
import { dice } from "./randomLayout.ts";

const SEATS = 40;
const DRAWS = 3;
const ROUNDS = 4;
/** Between two presses of one phone; nobody reads a question in so short a time. */
const LEAST_THOUGHT_MS = 200;
const MOST_THOUGHT_MS = 1200;
const GOAL_P95_MS = 200;
const CODE = "K7M4X";

/**
 * Forty phones and a board, over HTTP against a server in a process of its own: all join, open and answer in the same
 * moment, then each opens, answers, asks for hints and looks again and again, faster than anybody reads. One JSON line a
 * draw and kind of request, then over all draws, then whether the goal is met, by answers of either sort.
 */
export default async function classBench({ seed, draws = DRAWS }: { seed: number; draws?: number }): Promise<void> {
  const all = new Map<string, number[]>();
  for (let draw = 0; draw < draws; draw++) {
    const times = await oneLesson(1000 * seed + draw);
    for (const [kind, ms] of times) {
      console.log(JSON.stringify({ draw, kind, ...figuresOf(ms) }));
      all.set(kind, [...(all.get(kind) ?? []), ...ms]);
    }
  }
  for (const [kind, ms] of all) console.log(JSON.stringify({ kind, draws, seats: SEATS, ...figuresOf(ms) }));
  for (const kind of ["answer", "answer, all at once"]) {
    const { p95Ms } = figuresOf(all.get(kind) ?? []);
    console.log(JSON.stringify({ goal: `p95 of: ${kind}`, mostMs: GOAL_P95_MS, p95Ms, ok: p95Ms <= GOAL_P95_MS }));
  }
}

type Times = Map<string, number[]>;

async function oneLesson(seed: number): Promise<Times> {
  const data = mkdtempSync(join(tmpdir(), "class-bench-"));
  const times: Times = new Map();
  const store = await openSqliteStore(join(data, "wheelgram.db"));
  const set = await mixedSet();
  const body = { set, seats: SEATS, revealed: [] };
  await store.addLesson({ code: CODE, createdAt: new Date().toISOString(), endedAt: null, body });
  await store.setSetting("samples", "removed"); // nothing else is to be worked out meanwhile
  await store.close();
  const server = await startClassServer(data);
  try {
    const note = (kind: string, { ms, status }: Sent) => {
      if (status >= 400) throw new Error(`${kind} was answered ${status}`);
      times.set(kind, [...(times.get(kind) ?? []), ms]);
    };
    note("room check, all draws made", { ms: await roomReady(server.address), status: 200 });
    const board = watchBoard(server.address, (sent) => note("board", sent));
    const phones = Array.from({ length: SEATS }, () => phoneOf(server.network, server.host));
    await Promise.all(phones.map(async (phone) => note("join", await phone.join(CODE))));
    const first = `/seat/exercises/${set.exercises.at(-1)?.id}`;
    await Promise.all(phones.map(async (phone) => note("open, all at once", await phone.ask("POST", first))));
    const guess = { answer: "1011 0010" };
    await Promise.all(
      phones.map(async (phone) => note("answer, all at once", await phone.ask("POST", `${first}/answers`, guess))),
    );
    await Promise.all(
      phones.map(async (phone, i) => {
        const { whole, some } = dice(chance(seed, i));
        const think = () => breath(whole(LEAST_THOUGHT_MS, MOST_THOUGHT_MS));
        await think();
        for (let round = 0; round < ROUNDS; round++) {
          const { id } = some(...set.exercises);
          const at = `/seat/exercises/${id}`;
          const wrong = id === "which-band" ? "high" : `${whole(1, 90)} kPa`;
          note("open", await phone.ask("POST", at));
          await think();
          note("answer", await phone.ask("POST", `${at}/answers`, { answer: wrong }));
          await think();
          note("hint", await phone.ask("POST", `${at}/hints`, { after: 0 }));
          note("look", await phone.ask("GET", "/seat"));
          await think();
          note("answer", await phone.ask("POST", `${at}/answers`, { answer: id === "which-band" ? "low" : "7 kPa" }));
          await think();
        }
        phone.close();
      }),
    );
    await board();
  } finally {
    await server.close();
    rmSync(data, { recursive: true, force: true });
  }
  return times;
}

/** Some that are quick, and of those that come with the house the first that is on the air. */
async function mixedSet(): Promise<ExerciseSet> {
  const shipped = (await createExerciseSets().all()).flatMap(({ set }) => set.exercises);
  const onAir = shipped.find(({ scenario }) => scenario !== undefined);
  if (!onAir) throw new Error("no exercise that comes with the house is on the air");
  return { ...tinySet, exercises: [...tinySet.exercises, onAir] };
}

/** As an instructor does it before the class comes; how long it took, in ms. */
async function roomReady(address: string): Promise<number> {
  const began = performance.now();
  const path = `${address}/api/v1/lessons/${CODE}/room`;
  await fetch(path, { method: "POST" });
  for (;;) {
    const now = RoomBody.parse(await (await fetch(path)).json());
    if (!now.running && now.prepared === now.of) return performance.now() - began;
    if (!now.running) throw new Error(now.findings.map(({ says }) => says).join(" "));
    await breath(50);
  }
}

/** A board that listens, and asks anew as its page does: at once, and then once a second at most. @returns Ends it. */
function watchBoard(address: string, note: (sent: Sent) => void): () => Promise<void> {
  let due = true;
  let isOver = false;
  const listening = get(`${address}/api/v1/events`, (response) => {
    response.on("data", (part: Buffer) => {
      if (part.toString().includes("event: lesson")) due = true;
    });
    response.on("error", () => undefined);
  });
  listening.on("error", () => undefined);
  const running = (async () => {
    while (!isOver) {
      if (due) {
        due = false;
        const began = performance.now();
        const response = await fetch(`${address}/api/v1/lessons/${CODE}`);
        await response.text();
        note({ ms: performance.now() - began, status: response.status });
      }
      await breath(1000);
    }
  })();
  return async () => {
    isOver = true;
    await running;
    listening.destroy();
  };
}

function breath(ms: number): Promise<void> {
  return new Promise((resume) => setTimeout(resume, ms));
}

function figuresOf(ms: readonly number[]) {
  const sorted = ms.toSorted((a, b) => a - b);
  const at = (share: number) => round(sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0);
  return { requests: sorted.length, p50Ms: at(0.5), p95Ms: at(0.95), p99Ms: at(0.99), mostMs: at(1) };
}

function round(ms: number): number {
  return Math.round(10 * ms) / 10;
}
