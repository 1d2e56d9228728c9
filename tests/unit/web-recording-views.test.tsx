import type { JSX } from "preact";
import { render } from "preact";
import { useState } from "preact/hooks";
import { act } from "preact/test-utils";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { RUNGS } from "../../decoders/records.ts";
import { frameBits as encodedBits } from "../../seeds/encode/frame-bits.ts";
import { frameSymbols } from "../../seeds/encode/frame-symbols.ts";
import { hexOfBits } from "../../seeds/hex-of-bits.ts";
import { type FrameBits, frameBits } from "../../web/model/recording/frameBits.ts";
import { frameLines } from "../../web/model/recording/frameLines.ts";
import { frameStretches } from "../../web/model/recording/frameStretches.ts";
import { type Frame, framesOf } from "../../web/model/recording/frames.ts";
import type { TimeRange } from "../../web/model/recording/range.ts";
import { levelAxis } from "../../web/model/recording/signalDrawing.ts";
import { BitStripBand } from "../../web/views/recording/BitStripBand.tsx";
import { EventList } from "../../web/views/recording/EventList.tsx";
import { FrameLinesBand } from "../../web/views/recording/FrameLinesBand.tsx";
import { FrameSteps } from "../../web/views/recording/FrameSteps.tsx";
import { Ladder } from "../../web/views/recording/Ladder.tsx";
import { OverviewBand } from "../../web/views/recording/OverviewBand.tsx";
import { RangeBar } from "../../web/views/recording/RangeBar.tsx";
import { SignalBand } from "../../web/views/recording/SignalBand.tsx";
import { burst, rungs, signal, telegram } from "../support/recording-bodies.ts";

const page = document.createElement("div");
const pilot = builtinLayouts.find(({ id }) => id === "pilot-car")!;

beforeEach(() => document.body.replaceChildren(page));
afterEach(() => void act(() => render(null, page)));

function draw(what: JSX.Element): void {
  void act(() => render(what, page));
}

const one = (selector: string): HTMLElement => {
  const found = page.querySelector<HTMLElement>(selector);
  if (!found) throw new Error(`no ${selector} in: ${page.innerHTML}`);
  return found;
};
const all = (selector: string) => [...page.querySelectorAll<HTMLElement>(selector)];
const texts = (selector: string) => all(selector).map(({ textContent }) => textContent);

function press(key: string, target: HTMLElement): void {
  void act(() => void target.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })));
}

function click(button: HTMLElement | undefined): void {
  if (!button) throw new Error("there is no such button");
  void act(() => button.click());
}

async function openTable(): Promise<void> {
  const details = all("details").find((box) => box.textContent?.startsWith("As a table"));
  if (!(details instanceof HTMLDetailsElement)) throw new Error("the band has no table");
  await act(async () => {
    details.open = true;
    details.dispatchEvent(new Event("toggle"));
  });
}

const failed = (index: number, atSeconds: number, outcome: "sync" | "check") =>
  burst(index, atSeconds, { outcome, rungs: rungs(outcome) });
const bursts = [burst(0, 0.1), burst(1, 0.2), failed(2, 0.5, "sync"), failed(3, 0.6, "sync"), failed(4, 1.5, "check")];
const frames = framesOf(bursts, [telegram([0, 1])]);
const lines = frameLines(frames);
const bounds = { seconds: 2, leastSeconds: 0.001 };
const whole: TimeRange = { fromSeconds: 0, toSeconds: 2 };
const level = signal([0.01, 0.5, 0.02, 0.1], 0, 2);
const on = () => ({
  onRange: vi.fn<(range: TimeRange) => void>(),
  onBack: vi.fn(),
  onForward: vi.fn(),
  onCursor: vi.fn<(atSeconds: number) => void>(),
  cursorSeconds: undefined,
  marks: [],
  onChoose: vi.fn<(frame: Frame) => void>(),
});

function bitBand(frame: Frame, found: FrameBits): JSX.Element {
  return <Bits frame={frame} found={found} />;
}

/** The band as the page holds it: the page keeps which field is chosen. */
function Bits({ frame, found }: { readonly frame: Frame; readonly found: FrameBits }): JSX.Element {
  const [first, setFirst] = useState(0);
  const explained = found.source === "telegram" || found.source === "read again";
  const stretches = explained ? frameStretches(found, { pressure: "kPa", temperature: "degC" }) : [];
  return (
    <BitStripBand
      frame={frame}
      found={found}
      stretches={stretches}
      field={stretches.find(({ stretch }) => stretch.at === first)}
      confidences={[]}
      cursorBit={undefined}
      cursorSays={undefined}
      widthPx={900}
      onField={setFirst}
      onSamples={undefined}
      steps={null}
    />
  );
}

const quiet: Pick<
  Parameters<typeof SignalBand>[0],
  "timing" | "stretches" | "field" | "frequency" | "unit" | "onUnit" | "onFrequency" | "onMark"
> = {
  timing: undefined,
  stretches: [],
  field: undefined,
  frequency: undefined,
  unit: "dBFS",
  onUnit: () => undefined,
  onFrequency: () => undefined,
  onMark: () => undefined,
};
const unplaced = { wheelOf: () => undefined, order: null };

function readAgain(outcome: "check" | "line-code" = "check"): { frame: Frame; found: FrameBits } {
  const bits = encodedBits(pilot, { sensor: 0x3a51c0den, pressure: 133, temperature: 74 });
  bits[70]! ^= 1;
  const symbols = frameSymbols(pilot, bits);
  if (outcome === "line-code") symbols[32 + 16 + 10]! ^= 1;
  const more = { outcome, layout: pilot.id, symbols: hexOfBits(symbols), symbolCount: symbols.length };
  const [frame] = framesOf([burst(7, 1.5, { ...more, rungs: rungs(outcome) })], []);
  return { frame: frame!, found: frameBits(frame!, () => pilot) };
}

describe("the ladder", () => {
  it.each(RUNGS)("that stops at %s says not reached above it, and never failed", (missed) => {
    draw(<Ladder rungs={rungs(missed)} of="burst at 0.161 s" />);
    const at = RUNGS.indexOf(missed);
    expect(all("ol.rungs > li")).toHaveLength(9);
    const states = texts(".rung-head").map((head) => /(yes|missed|not reached)$/.exec(head ?? "")?.[1]);
    expect(states).toEqual(RUNGS.map((_, i) => (i < at ? "yes" : i === at ? "missed" : "not reached")));
    expect(page.textContent).not.toMatch(/fail/i);
    expect(texts(".next-step")).toEqual([`Next step: Do something about the ${missed}.`]);
    for (const above of all(".rung-not-reached")) expect(above.querySelector(".rung-says, .rung-figures")).toBeNull();
  });

  it("sets what was measured against what is needed", () => {
    const [first, second, ...rest] = rungs("burst");
    draw(<Ladder rungs={[first!, { ...second!, measured: 2.1, needed: 6, unit: "dB" }, ...rest]} of="burst" />);
    expect(texts(".rung-figures")).toEqual(["measured 2.1\u202fdB – needed at least 6\u202fdB"]);
  });

  it("that is not there is not empty without a sentence and an action", () => {
    draw(<Ladder rungs={[]} of="whole recording" />);
    expect(one("h2").textContent).toBe("There is no ladder");
    expect(one(".empty a").getAttribute("href")).toBe("/recordings");
  });
});

describe("every band", () => {
  const near = { body: level, problem: undefined, again: () => undefined };
  const shared = { bounds, range: whole, chosen: frames[2], ...on() };
  const { frame, found } = readAgain();
  const bands: readonly (readonly [name: string, band: JSX.Element, rows: number])[] = [
    [
      "the overview",
      <OverviewBand {...shared} frames={frames} signal={level} axis={levelAxis(level, "dBFS")} widthPx={900} />,
      10,
    ],
    [
      "the signal",
      <SignalBand
        {...shared}
        {...quiet}
        whole={level}
        near={near}
        gutterPx={100}
        widthPx={800}
        onChooseAt={() => undefined}
      />,
      20,
    ],
    ["the lines", <FrameLinesBand {...shared} {...unplaced} lines={lines} gutterPx={100} widthPx={800} />, 5],
    ["the events", <EventList {...shared} lines={lines} frames={frames} />, 5],
    ["the bits", bitBand(frame, found), 9],
  ];

  it.each(bands)("(%s) has a sentence, how to read it, and the same as a table", async (name, band, rows) => {
    draw(band);
    const heading = one("section.evidence-band > h2");
    expect(one("section.evidence-band").getAttribute("aria-labelledby")).toBe(heading.id);
    expect(heading.textContent).toMatch(/^[A-Z0-9].*[a-z].* /);
    expect(texts("summary")).toEqual([`How to read it: ${name}`, `As a table: ${name}`]);
    expect(one(".how-to-read").textContent?.length).toBeGreaterThan(100);
    expect(all("table")).toHaveLength(0);
    await openTable();
    expect(all("table tbody tr")).toHaveLength(rows);
    expect(one("caption").textContent).not.toBe("");
  });

  it.each(bands.filter(([name]) => name !== "the events"))("(%s) is one tab stop", (_, band) => {
    draw(band);
    expect(all('[tabindex="0"]')).toHaveLength(1);
  });
});

describe("the event list", () => {
  it("tells what happened, one below the other", () => {
    draw(<EventList {...on()} lines={lines} frames={frames} range={whole} bounds={bounds} chosen={frames[2]} />);
    const words = texts("button.event").map((text) => text?.replace(/\u202f/g, " "));
    expect(words).toEqual([
      expect.stringMatching(/^0\.100 s3a51c0de.*verified 2 copies$/),
      expect.stringMatching(/^0\.500 snot readable.*no known start 2 bursts alike$/),
      expect.stringMatching(/^1\.500 snot readable.*the check does not agree$/),
    ]);
    expect(all("button.event[aria-current]").map((box) => all("button.event").indexOf(box))).toEqual([1]);
    expect(all('button.event[tabindex="0"]')).toEqual(all("button.event[aria-current]"));
  });

  it("chooses an event's first frame and goes there", () => {
    const told = on();
    const range = { fromSeconds: 0, toSeconds: 0.4 };
    draw(<EventList {...told} lines={lines} frames={frames} range={range} bounds={bounds} chosen={undefined} />);
    click(all("button.event")[2]);
    expect(told.onChoose).toHaveBeenCalledWith(frames[4]);
    const [shown] = told.onRange.mock.calls[0]!;
    expect(shown.fromSeconds).toBeLessThan(1.5);
    expect(shown.toSeconds).toBeGreaterThan(1.51);
  });

  it("is walked through with the arrow keys, and holds at its ends", () => {
    draw(<EventList {...on()} lines={lines} frames={frames} range={whole} bounds={bounds} chosen={undefined} />);
    const at = () => all("button.event").findIndex(({ tabIndex }) => tabIndex === 0);
    const seen: number[] = [];
    for (const key of ["ArrowUp", "ArrowDown", "ArrowDown", "ArrowDown", "Home", "End"]) {
      press(key, all("button.event")[at()]!);
      expect(document.activeElement).toBe(all("button.event")[at()]);
      seen.push(at());
    }
    expect(seen).toEqual([0, 1, 2, 2, 0, 2]);
  });

  it("of nothing has a sentence and an action", () => {
    draw(<EventList {...on()} lines={[]} frames={[]} range={whole} bounds={bounds} chosen={undefined} />);
    expect(one(".empty p").textContent).toMatch(/\.$/);
    expect(all(".empty a, .empty button")).toHaveLength(1);
  });

  it("of many shows some, and the rest when asked", () => {
    const many = framesOf(
      Array.from({ length: 130 }, (_, i) => failed(i, i / 100, i % 2 ? "sync" : "check")),
      [],
    );
    draw(
      <EventList {...on()} lines={frameLines(many)} frames={many} range={whole} bounds={bounds} chosen={undefined} />,
    );
    const more = () => all("button").find(({ textContent }) => textContent?.startsWith("Show more"));
    expect([all("button.event").length, more()?.textContent]).toEqual([60, "Show more; 70 are left"]);
    click(more());
    click(more());
    expect([all("button.event").length, more()]).toEqual([130, undefined]);
  });
});

describe("the frame lines", () => {
  const band = (told: ReturnType<typeof on>, chosen?: Frame, range = whole) => (
    <FrameLinesBand
      {...told}
      {...unplaced}
      lines={lines}
      bounds={bounds}
      range={range}
      chosen={chosen}
      gutterPx={100}
      widthPx={800}
    />
  );

  it("draw a block for each frame by its look, a bracket for copies, and the wedge at the chosen one", () => {
    draw(band(on(), frames[2]));
    const drawn = (selector: string) => all(selector).map((path) => path.getAttribute("d") ?? "");
    const looks = ["solid", "hollow", "dotted"].map(
      (look) => drawn(`.drawing .block-${look}`).join("").split("M").length - 1,
    );
    expect(looks).toEqual([2, 1, 2]);
    expect(drawn(".drawing .repeat-bracket").filter((path) => path !== "")).toHaveLength(1);
    expect(all(".chosen-mark")).toHaveLength(1);
    expect(texts(".line-title")).toEqual(["3a51c0de", "no known start", "the check does not agree"]);
    expect(texts('[role="option"][aria-selected="true"]')).toEqual([expect.stringContaining("no known start")]);
  });

  it("tell the active frame to those who hear the page, and choose it by Enter", () => {
    const told = on();
    draw(band(told, frames[2]));
    const box = one('[role="listbox"]');
    press("ArrowRight", box);
    const active = document.getElementById(box.getAttribute("aria-activedescendant") ?? "");
    expect(active?.textContent).toContain("at 0.600");
    press("Enter", box);
    expect(told.onChoose).toHaveBeenCalledWith(frames[3]);
    press("Backspace", box);
    expect(told.onBack).toHaveBeenCalledOnce();
    press("0", box);
    expect(told.onRange).toHaveBeenLastCalledWith(whole);
  });

  it("never point those who hear the page at a frame that is not there", () => {
    draw(band(on(), frames[4], { fromSeconds: 0, toSeconds: 0.4 }));
    const pointed = one('[role="listbox"]').getAttribute("aria-activedescendant");
    expect(pointed === null || document.getElementById(pointed) !== null).toBe(true);
  });

  it("have a table with a sentence where nothing lies in what is shown", async () => {
    draw(band(on(), undefined, { fromSeconds: 0.9, toSeconds: 1 }));
    await openTable();
    expect(one(".empty p").textContent).toBe("No frame lies in what is shown.");
  });
});

describe("the bits", () => {
  it("have a label and an option for each stretch, the check that does not agree marked", () => {
    const { frame, found } = readAgain();
    draw(bitBand(frame, found));
    expect(all('[role="option"]')).toHaveLength(9);
    expect(all(".ruler-label")).toHaveLength(9);
    expect(texts(".label-wrong")).toEqual([expect.stringMatching(/^crc should be [0-9a-f]{2}$/)]);
    expect(page.textContent).toContain("nothing proves these bits: read as pilot-car");
    expect(all(".notch")).toHaveLength(0);
  });

  it("lead from bits to value, walked through with the arrow keys and held at the ends", () => {
    const { frame, found } = readAgain();
    draw(bitBand(frame, found));
    const box = one('[role="listbox"]');
    expect(one(".trace").textContent).toContain("sensor, bits 0 to 31");
    press("ArrowLeft", box);
    expect(one(".trace").textContent).toContain("sensor, bits 0 to 31");
    press("End", box);
    expect(one(".trace").textContent).toMatch(/^look here crc, bits 64 to 71/);
    expect(texts('[aria-selected="true"]')).toEqual([expect.stringContaining("crc")]);
    press("ArrowRight", box);
    press("Home", box);
    expect(one(".trace").textContent).toContain("sensor, bits 0 to 31");
  });

  it("carry a notch where the line code is broken", () => {
    const { frame, found } = readAgain("line-code");
    draw(bitBand(frame, found));
    expect(all(".notch")).toHaveLength(1);
    expect(page.textContent).toContain("line code broken at bit 5");
  });

  it("that could not be cut leave a sentence and the way to the ladder", async () => {
    const [frame] = framesOf([failed(0, 1, "sync")], []);
    draw(bitBand(frame!, { source: "nothing" }));
    expect(one(".empty a").getAttribute("href")).toBe("#ladder");
    await openTable();
    expect(texts(".empty p")[1]).toBe("There are no bits of this burst.");
  });

  it("of symbols alone are drawn without fields, and told as they are", () => {
    const [frame] = framesOf([failed(0, 1, "sync")], []);
    draw(bitBand(frame!, { source: "symbols", bits: Uint8Array.of(1, 0, 1) }));
    expect(one('[role="img"]').getAttribute("aria-label")).toBe("3 symbols: 101");
    expect(all(".brace, .ruler-label, .trace")).toHaveLength(0);
  });
});

describe("the overview and the bar", () => {
  it("move and change what is shown by keys", () => {
    const told = on();
    const range = { fromSeconds: 0.5, toSeconds: 1.5 };
    draw(
      <OverviewBand {...told} frames={frames} signal={level} axis={undefined} {...{ bounds, range }} widthPx={900} />,
    );
    const box = one('[role="slider"]');
    const lead = (key: string) => {
      press(key, box);
      return told.onRange.mock.lastCall?.[0];
    };
    expect(lead("ArrowLeft")).toEqual({ fromSeconds: 0.4, toSeconds: 1.4 });
    expect(lead("ArrowRight")).toEqual({ fromSeconds: 0.6, toSeconds: 1.6 });
    expect(lead("ArrowUp")).toEqual({ fromSeconds: 0.75, toSeconds: 1.25 });
    expect(lead("ArrowDown")).toEqual(whole);
    expect(lead("Home")).toEqual({ fromSeconds: 0, toSeconds: 1 });
    expect(lead("End")).toEqual({ fromSeconds: 1, toSeconds: 2 });
    expect(box.getAttribute("aria-valuetext")).toBe("0.50 to 1.50\u202fs of 2.00 s: two bursts, 2 not read");
  });

  it("offer no step that leads nowhere", () => {
    const bar = (range: TimeRange) => (
      <RangeBar
        {...on()}
        bounds={bounds}
        range={range}
        aroundSeconds={undefined}
        canGoBack={false}
        canGoForward={false}
      />
    );
    const disabled = () => all("button:disabled").map(({ textContent }) => textContent);
    draw(bar(whole));
    expect(disabled()).toEqual(["Back", "Forward", "Earlier", "Later", "Wider", "Whole recording"]);
    draw(bar({ fromSeconds: 0.5, toSeconds: 0.501 })); // longer than a thousandth by the last digit
    expect(disabled()).toEqual(["Back", "Forward", "Closer"]);
  });

  it("go from frame to frame, and to the next that was not read", () => {
    const told = on();
    const steps = (chosen: Frame) => <FrameSteps frames={frames} chosen={chosen} {...told} onCloseUp={told.onBack} />;
    const go = (name: string) => {
      click(all("button").find(({ textContent }) => textContent === name));
      return told.onChoose.mock.lastCall?.[0].id;
    };
    draw(steps(frames[1]!));
    expect([go("Previous frame"), go("Next frame"), go("Next not read")]).toEqual(["0", "2", "2"]);
    draw(steps(frames[4]!));
    expect(go("Next not read")).toBe("2");
    expect(all("button:disabled").map(({ textContent }) => textContent)).toEqual(["Next frame"]);
    expect(one(".caption").textContent).toBe("5 of 5");
    draw(steps(frames[0]!));
    expect(go("Next of this sensor")).toBe("1");
  });
});
