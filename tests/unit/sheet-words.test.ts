import { describe, expect, it } from "vitest";
import { SENTENCES } from "../../server/http/sheet/sentences.ts";
import { degrees, inOneLine, inPairs, inTwoUnits } from "../../server/http/sheet/units.ts";
import { cautions, notChecked, said } from "../../server/http/sheet/words.ts";
import { jobSheet, type SheetContext } from "../../server/http/sheet.ts";
import { emptyWheel, type JobBody } from "../../server/http/wire.ts";
import { emptyCard } from "../../web/model/jobChange.ts";
import { job, wheelLine } from "../support/wire-bodies.ts";

const context: SheetContext = {
  heardBy: [],
  runs: [],
  before: [],
  paper: undefined,
  printedAt: "2026-11-25T21:20:00.000000Z",
  version: "1.2.3",
};

const good = wheelLine();
const soft = wheelLine({ position: "right front", gaugeKpa: 158, strength: "stop", finding: "31 % below placard." });
const silent = wheelLine({
  position: "left rear",
  state: "not heard",
  carrierHz: null,
  temperatureC: null,
  battery: null,
  gaugeKpa: null,
  strength: "look here",
  finding: "Not heard.",
});
const unreadable = { ...silent, position: "right rear", state: "sending, not readable" } as const;
const tired = wheelLine({ position: "spare", battery: "low", strength: "look here", finding: "Battery low." });

function jobWith(lines: JobBody["lines"], more: Partial<JobBody> = {}): JobBody {
  return job({ lines, wheels: lines.map(({ position, identity }) => emptyWheel(position, identity)), ...more });
}

/** What is to be read on the page, its white space made one space. */
function words(html: string): string {
  return html
    .replace(/<style[\s\S]*?<\/style>|<[^>]+>/g, " ")
    .replace(/&#(\d+);/g, (_, code) => String.fromCharCode(Number(code)))
    .replace(/\s+/g, " ");
}

function sheet(of: JobBody, more: Partial<SheetContext> = {}): string {
  return words(jobSheet(of, { ...context, ...more }));
}

describe("pressures stand in two units, the placard's own first", () => {
  it.each([
    [null, "230 kPa", "33.4 psi"],
    ["kPa", "230 kPa", "33.4 psi"],
    ["psi", "33.4 psi", "230 kPa"],
    ["bar", "2.30 bar", "33.4 psi"],
  ] as const)("%s", (unit, first, second) => {
    // 230 kPa over 6.894757 kPa a psi (NIST SP 811, appendix B) is 33.36 psi.
    expect(inTwoUnits(230, unit).map((text) => text.replace("\u202f", " "))).toEqual([first, second]);
    expect(inOneLine(230, unit).replaceAll("\u202f", " ")).toBe(`${first} (${second})`);
  });

  it("on the sheet: reading, placard and hand gauge", () => {
    const one = jobWith([wheelLine({ gaugeKpa: 158 })], { placardUnit: "bar", placardFrontKpa: 230 });
    const [wheel = emptyWheel("left front")] = one.wheels;
    const text = sheet({ ...one, wheels: [{ ...wheel, handGaugeKpa: 161 }] });
    expect(text).toContain("1.58 bar 22.9 psi");
    expect(text).toContain("2.30 bar 33.4 psi");
    expect(text).toContain("1.61 bar 23.4 psi");
    expect(text).toContain("Hand gauge");
    expect(sheet(one)).not.toContain("Hand gauge");
  });

  it("a temperature has a true minus sign, and none before zero", () => {
    expect([degrees(-7.4), degrees(-0.2)]).toEqual(["−7\u202f°C", "0\u202f°C"]);
  });

  it("a sensor ID stands in groups of two, whatever its length; a remark stays as it is", () => {
    expect([inPairs("3a51c0de"), inPairs("3a51c"), inPairs("see label")]).toEqual([
      "3a 51 c0 de",
      "3a 51 c",
      "see label",
    ]);
  });
});

describe("what nobody typed", () => {
  const mixed = jobWith([good, soft, silent, unreadable, tired]);

  it("follows from the wheel lines, and says that it was not typed", () => {
    expect(said(mixed, "finding")).toEqual({
      typed: false,
      text: "Stop: right front. Look here: spare. Sends, but cannot be read: right rear. Not heard: left rear. As it should be: left front.",
    });
    expect(said(mixed, "cause").text).toBe(
      "Low air: right front. The sensors do not say why. No word from: left rear. The sensors do not say why. See the notes beside the wheels.",
    );
    expect(said(mixed, "advised").text).toBe(
      "Have the tyre looked at before you drive: right front. Check the tyre first, then its sensor: left rear. See the note beside the wheel: right rear. Plan a new sensor, its battery is low: spare.",
    );
    const text = sheet(mixed);
    for (const heading of ["Finding", "Cause", "Done", "Advised"]) {
      expect(text).toContain(`${heading} Worked out, not typed: `);
    }
  });

  it("of a sound car", () => {
    const sound = jobWith([good, wheelLine({ position: "right front" }), wheelLine({ position: "left rear" })]);
    expect(said(sound, "finding").text).toBe("As it should be: all wheels.");
    expect(said(sound, "cause").text).toBe(SENTENCES.causeNone);
    expect(said({ ...sound, proofFrom: "2026-11-25T10:00:00Z" }, "cause").text).toBe(SENTENCES.causeNoneNow);
    expect(said(sound, "done").text).toBe(SENTENCES.doneListened);
    expect(said(sound, "advised").text).toBe(SENTENCES.adviseMonthly);
  });

  it("of a car that nothing was heard from", () => {
    expect(said(jobWith([silent]), "done").text).toBe(SENTENCES.doneNothing);
    expect(sheet(jobWith([silent]))).toContain(SENTENCES.listenedToNothing);
  });

  it("gives way to what was typed, which is not marked", () => {
    const typed = { ...mixed, finding: " A screw. ", cause: "Screw", done: "Mended", advised: "Come back" };
    expect(said(typed, "finding")).toEqual({ text: "A screw.", typed: true });
    expect(sheet(typed)).not.toContain("not typed");
  });

  it("is told of every empty entry", () => {
    const bare = job({ ...emptyCard([]), lines: [silent], wheels: [emptyWheel("left rear")] });
    const text = sheet(bare);
    expect(text).toContain("Hand-over sheet 7K3F");
    for (const name of ["Plate", "Vehicle", "Odometer", "Came in for", "Placard, cold", "Tyre type"]) {
      expect(text).toContain(`${name} not entered`);
    }
    expect(text).toContain("Complaint Nothing was typed here.");
    expect(text).toContain(SENTENCES.codesNone);
    expect(text).toContain(SENTENCES.lampUnknown);
    expect(text).toContain(SENTENCES.notReadBack);
    expect(text).toContain(SENTENCES.noGauge);
    expect(text).toContain("Air outside: taken as 101.3 kPa (14.7 psi), as at the sea. Nobody typed it.");
  });
});

describe("wheels", () => {
  it("that were not heard have a dash or a word in every cell, and the mark of a look here", () => {
    expect(sheet(jobWith([{ ...silent, placardKpa: null, identity: null }]))).toContain(
      "Left rear none – – – none none ▲ Look here: Not heard.",
    );
  });

  it("that have to be stopped carry a square, and those as expected no mark", () => {
    expect(sheet(jobWith([soft]))).toContain("■ Stop: 31 % below placard.");
    expect(sheet(jobWith([good]))).not.toMatch(/[▲■]/);
  });

  it("with a new sensor show both IDs, and what is to be known of it", () => {
    const replaced = { oldIdentity: "3a51ffee", blank: true, copied: true, at: "2026-11-25T09:30:00Z" };
    const one = jobWith([good], { wheels: [{ ...emptyWheel("left front", "3a51c0de"), replaced }] });
    const text = sheet(one);
    expect(text).toContain("new 3a 51 c0 de old 3a 51 ff ee");
    expect(text).toContain("New sensor fitted: left front.");
    expect(text).toContain("copied on purpose: left front. Not programmed yet: left front.");
    const unknown = { ...replaced, oldIdentity: null, blank: false, copied: false };
    const other = sheet({ ...one, wheels: [{ ...emptyWheel("left front", "3a51c0de"), replaced: unknown }] });
    expect(other).toContain("old unknown");
    expect(other).not.toContain("on purpose");
  });

  it("stand before and after side by side where something was to be proved", () => {
    const before = [{ position: "left front", heard: true, gaugeKpa: 158, heardAfter: true }];
    expect(sheet(jobWith([good]), { before })).toContain("Before After");
    expect(sheet(jobWith([good]), { before })).toContain("158 kPa 22.9 psi 230 kPa 33.4 psi");
    const [first = { position: "", heard: true, gaugeKpa: null, heardAfter: true }] = before;
    expect(sheet(jobWith([good]), { before: [{ ...first, heardAfter: false }] })).toContain(
      "22.9 psi not heard 230 kPa",
    );
    const none = { ...first, heard: false, gaugeKpa: null };
    expect(sheet(jobWith([good]), { before: [none] })).toContain("good not heard 230 kPa");
    expect(sheet(jobWith([good]))).not.toContain("Before After");
  });
});

it("what people typed stays text, wherever it stands", () => {
  const nasty = '<script>alert("1")</script>';
  const typed = Object.fromEntries(
    ["plate", "vehicle", "complaint", "tyreType", "signedBefore", "codesBefore", "codesAfter", "lampOffBy"].map(
      (key) => [key, nasty],
    ),
  );
  const parts = { finding: nasty, cause: nasty, done: nasty, advised: nasty, notChecked: nasty };
  const lines = [wheelLine({ position: nasty, identity: nasty, finding: nasty })];
  const html = jobSheet(jobWith(lines, { ...typed, ...parts }), { ...context, heardBy: [nasty], version: nasty });
  expect(html).not.toMatch(/<script|style=/i);
  expect(html.split("&#60;script&#62;").length).toBeGreaterThan(15);
});

it("keying and rate of a burst are not on the sheet", () => {
  const finding =
    "It answered its wake once, but no layout reads it: 433.91 MHz, FSK, 14401 symbols/s, like its siblings.";
  const lines = [wheelLine({ state: "sending, not readable", carrierHz: 433_910_000, finding })];
  const html = jobSheet(jobWith(lines), context);
  expect(html).toContain("no layout reads it, like its siblings.");
  expect(html).not.toMatch(/FSK|symbols/);
});

describe("not checked", () => {
  it("has what was typed first, then what holds for every visit and what this one left out", () => {
    const two = jobWith([good, silent], {
      notChecked: "Brakes.",
      readBack: [{ position: "left front", identity: good.identity ?? "" }],
    });
    const [first = emptyWheel("left front"), second = emptyWheel("left rear")] = two.wheels;
    const texts = notChecked({ ...two, wheels: [{ ...first, handGaugeKpa: 230 }, second] }).map(({ text }) => text);
    expect(texts).toEqual([
      "Brakes.",
      `${SENTENCES.notByRadio} ${SENTENCES.notProof} Not read back from the car: left rear. No hand gauge on: left rear. No reading from: left rear.`,
    ]);
  });
});

describe("cautions are those of what was found and done", () => {
  it("of a sound car only that the maker comes first", () => {
    expect(cautions(jobWith([good]), [])).toEqual([SENTENCES.careMaker]);
    expect(cautions(jobWith([tired]), [])).toEqual([SENTENCES.careMaker]);
  });

  it("of a soft tyre those of filling it", () => {
    const care = cautions(jobWith([soft]), []);
    expect(care).toEqual([
      SENTENCES.careSoft,
      SENTENCES.careSidewall,
      SENTENCES.careCold,
      SENTENCES.careHot,
      SENTENCES.careMaker,
    ]);
    expect(cautions(jobWith([soft], { kind: "dual rear wheels" }), [])).toContain(SENTENCES.careCage);
  });

  it("of a tyre that was soft before the work those of filling it, but not of a soft one", () => {
    const before = [{ position: "left front", heard: true, gaugeKpa: 158, heardAfter: true }];
    expect(cautions(jobWith([good]), before)).toContain(SENTENCES.careCold);
    expect(cautions(jobWith([good]), before)).not.toContain(SENTENCES.careSoft);
  });

  it("of a new sensor those of the wheel and the sensor; of learning on the road that of the screen", () => {
    const replaced = { oldIdentity: null, blank: false, copied: false, at: "2026-11-25T09:30:00Z" };
    const one = jobWith([good], { wheels: [{ ...emptyWheel("left front"), replaced }], relearn: "by driving" });
    const { careJack, careNuts, careSensor, careCell, careDrive, careMaker } = SENTENCES;
    expect(cautions(one, [])).toEqual([
      SENTENCES.careSidewall,
      SENTENCES.careCold,
      SENTENCES.careHot,
      careJack,
      careNuts,
      careSensor,
      careCell,
      careDrive,
      careMaker,
    ]);
  });
});

it("how it was measured: by what, when, with which air outside, and what else came in", () => {
  const runs = [
    { id: "a", startedAt: "2026-11-25T09:02:00.000000Z", endedAt: "2026-11-25T09:04:00.000000Z" },
    { id: "b", startedAt: "2026-11-25T09:20:00.000000Z", endedAt: "2026-11-25T09:31:00.000000Z" },
  ];
  const text = sheet(jobWith([good], { ambientKpa: 98.4, unreadableBursts: 1 }), { heardBy: ["door", "hall"], runs });
  expect(text).toContain("Listened to door and hall.");
  expect(text).toContain("Receivers on 25 Nov 2026, 09:02 to 09:31 UTC, 2 times.");
  expect(text).toContain("Air outside: 98.4 kPa (14.3 psi), as typed.");
  expect(text).toContain("Could not be read: 1 burst.");
  expect(text).toContain("Printed 25 Nov 2026, 21:20 UTC, by Wheelgram 1.2.3.");
});

it("names its style sheets, with the paper only where one was asked for", () => {
  const sheetsOf = (paper: SheetContext["paper"]) =>
    [...jobSheet(job(), { ...context, paper }).matchAll(/href="\/help\/([\w-]+)\.css"/g)].map(([, name]) => name);
  expect(sheetsOf(undefined)).toEqual(["sheet"]);
  expect(sheetsOf("a4")).toEqual(["sheet", "sheet-a4"]);
  expect(sheetsOf("letter")).toEqual(["sheet", "sheet-letter"]);
});
