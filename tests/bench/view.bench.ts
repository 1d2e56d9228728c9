import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { type CDPSession, chromium, type Page } from "@playwright/test";
import type { RecordingBody } from "../../server/http/wire.ts";
import { type House, openHouse, soon } from "../browser/house.ts";
import { ask } from "../browser/http.ts";
import { findBrowser } from "../support/browser.mjs";
import { type LongRecording, longRecording } from "./longRecording.ts";
import { mainThreadWork } from "./mainThreadWork.ts";
import { median } from "./median.ts";

/** The processor is slowed down so many times, as for a tablet in the bay. */
const THROTTLE = 4;
const STEPS = 150;

/**
 * The recording page on 60 s at 2 MS/s with 1,000 frames of 30 sensors: time to the first picture, work of the page's
 * thread for each step of a drag and a zoom, how long what somebody does takes until it is seen, elements, memory.
 *
 * @param options.draws How often each is taken; 3 by default.
 */
export default async function view({ seed, draws = 3 }: { seed: number; draws: number | undefined }): Promise<void> {
  const made = longRecording(seed, { seconds: 60, sampleRateHz: 2e6, frames: 1000, sensors: 30 });
  const house = await openHouse();
  const browser = await chromium.launch({
    executablePath: await findBrowser(),
    args: ["--disable-gpu", "--enable-precise-memory-info", ...(process.getuid?.() === 0 ? ["--no-sandbox"] : [])],
  });
  try {
    const hash = await put(house, made);
    const firsts: number[] = [];
    const drags: number[] = [];
    const zooms: number[] = [];
    const interactions: number[] = [];
    for (let draw = 0; draw < draws; draw++) {
      const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
      const page = await context.newPage();
      const cdp = await context.newCDPSession(page);
      await cdp.send("Emulation.setCPUThrottlingRate", { rate: THROTTLE });
      await page.addInitScript({ path: fileURLToPath(new URL("viewPage.js", import.meta.url)) });
      await page.goto(`${house.address()}/recordings/${hash}`);
      firsts.push(await firstPicture(page));
      await page.locator(".frame-lines svg").waitFor();
      await page.waitForTimeout(3000); // the samples of the chosen frame are measured meanwhile
      drags.push(...(await mainThreadWork(cdp, () => page.evaluate(`viewBench.drag(${STEPS})`))));
      zooms.push(...(await mainThreadWork(cdp, () => page.evaluate(`viewBench.zoom(${STEPS})`))));
      interactions.push(...(await interact(page)));
      if (draw === draws - 1) await tellSizes(page, cdp);
      await context.close();
    }
    console.log(`first picture: ${ms(median(firsts))} (worst of ${draws}: ${ms(Math.max(...firsts))}), goal 1000 ms`);
    console.log(`work of the page's thread for a step of a drag: ${spread(drags)}, goal 12 ms`);
    console.log(`work of the page's thread for a step of a zoom: ${spread(zooms)}, goal 12 ms`);
    console.log(
      `from an act to its picture: 75 % within ${ms(quantile(interactions, 0.75))} of ${interactions.length}, goal 100 ms`,
    );
  } finally {
    await browser.close();
    await house.close();
  }
}

async function put(house: House, made: LongRecording): Promise<string> {
  const query = `name=long.sigmf-meta&metaBytes=${made.metadata.length}`;
  const body = new ReadableStream<Uint8Array>({
    start(controller) {
      controller.enqueue(made.metadata);
    },
    type: undefined,
    ...pulling(made.pieces()),
  });
  const started = performance.now();
  const answer = await fetch(`${house.address()}/api/v1/recordings?${query}`, {
    method: "POST",
    body,
    duplex: "half",
  } as RequestInit);
  if (!answer.ok) throw new Error(`the recording was not taken: ${answer.status} ${await answer.text()}`);
  const { hash } = (await answer.json()) as RecordingBody;
  const taken = performance.now();
  const samples = made.seconds * made.sampleRateHz;
  const there = await soon(
    "the recording is analysed",
    async () => {
      const recording = await ask<RecordingBody>(house, `/recordings/${hash}`);
      return recording.analysis.state === "done" ? recording : undefined;
    },
    { withinMs: 300_000 },
  );
  const found = performance.now();
  console.log(
    `${made.seconds} s, ${samples / 1e6} MS: taken in with hash and levels at ${rate(samples, taken - started)}, bursts found and decoded at ${rate(samples, found - taken)}: ${there.summary?.bursts} bursts, ${there.summary?.sensors.length} sensors`,
  );
  return hash;
}

function pulling(pieces: Generator<Uint8Array>) {
  return {
    pull(controller: ReadableStreamDefaultController<Uint8Array>) {
      const { value, done } = pieces.next();
      if (done) controller.close();
      else controller.enqueue(new Uint8Array(value));
    },
  };
}

async function firstPicture(page: Page): Promise<number> {
  // The page's rules allow no text to be run as script, so the browser cannot wait for it by itself.
  return soon(
    "the signal is painted",
    async () => (await page.evaluate("viewBench.firstPictureMs")) as number | undefined,
  );
}

/** Presses keys and buttons as somebody does, and takes what the browser says of each. */
async function interact(page: Page): Promise<number[]> {
  await page.evaluate("viewBench.watchActs()");
  const whole = page.getByRole("button", { name: /^Whole/ });
  let done = 0;
  const act = async (what: () => Promise<unknown>) => {
    await what();
    done++;
    await page.waitForTimeout(120);
  };
  if (await whole.isEnabled()) await act(() => whole.click());
  for (let i = 0; i < 4; i++) await act(() => page.getByRole("button", { name: "Next frame" }).click());
  await page.getByRole("listbox", { name: "Frames, line by line" }).focus();
  for (const key of [
    "ArrowRight",
    "ArrowRight",
    "ArrowDown",
    "ArrowDown",
    "Enter",
    "+",
    "+",
    "ArrowRight",
    "Enter",
    "0",
  ]) {
    await act(() => page.keyboard.press(key));
  }
  const signal = page.getByRole("slider", { name: "The level at a moment" });
  await signal.scrollIntoViewIfNeeded();
  for (const x of [100, 300, 200, 420]) await act(() => signal.click({ position: { x, y: 60 } }));
  for (const key of ["ArrowRight", "ArrowUp", "ArrowUp", "a", "ArrowRight", "b", "ArrowDown"]) {
    await act(() => page.keyboard.press(key));
  }
  for (const name of ["Closer", "Later", "Earlier", "Wider", "Back"]) {
    await act(() => page.getByRole("button", { name, exact: true }).click());
  }
  const kept: { id: number; duration: number }[] = await page.evaluate("viewBench.acts");
  const longest = new Map<number, number>();
  for (const { id, duration } of kept) longest.set(id, Math.max(duration, longest.get(id) ?? 0));
  // What took less than 16 ms the browser does not tell.
  return [...longest.values(), ...Array.from({ length: Math.max(0, done - longest.size) }, () => 16)];
}

async function tellSizes(page: Page, cdp: CDPSession): Promise<void> {
  await page
    .getByRole("button", { name: /^Whole/ })
    .click({ timeout: 2000 })
    .catch(() => undefined);
  await page.waitForTimeout(500);
  const nodes: number = await page.evaluate("viewBench.svgCount()");
  await cdp.send("HeapProfiler.collectGarbage");
  const heap: number = await page.evaluate("performance.memory?.usedJSHeapSize ?? 0");
  const browserCdp = await page.context().browser()?.newBrowserCDPSession();
  const info = await browserCdp?.send("SystemInfo.getProcessInfo");
  const tab = Math.max(
    ...(info?.processInfo ?? []).filter(({ type }) => type === "renderer").map(({ id }) => residentMb(id)),
  );
  console.log(
    `${nodes} SVG elements, goal 2000; ${(heap / 1e6).toFixed(0)} MB of objects, ${tab.toFixed(0)} MB resident in the tab, goal 300 MB`,
  );
}

function residentMb(pid: number): number {
  try {
    return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? 0) / 1000;
  } catch {
    return 0; // it ended
  }
}

function quantile(values: readonly number[], share: number): number {
  return values.toSorted((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))] ?? Number.NaN;
}

function spread(values: readonly number[]): string {
  return `half ${ms(median(values))}, 95 % ${ms(quantile(values, 0.95))}, most ${ms(Math.max(...values))}`;
}

function ms(value: number): string {
  return `${value.toFixed(1)} ms`;
}

function rate(samples: number, tookMs: number): string {
  return `${(samples / tookMs / 1000).toFixed(0)} MS/s`;
}
