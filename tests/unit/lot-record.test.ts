import { Buffer } from "node:buffer";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { emptyLot, type Lot } from "../../server/bench/lot.ts";
import { ruleWords } from "../../server/bench/ruleWords.ts";
import { spreadsheetDialect } from "../../server/http/csvDialect.ts";
import { dataHash } from "../../server/http/lotRecord/dataHash.ts";
import { type RecordDocument, wordsOf } from "../../server/http/lotRecord/document.ts";
import { lotRecord, type RecordContext } from "../../server/http/lotRecord/record.ts";
import { lotCsv } from "../../server/http/lotRecord/recordCsv.ts";
import { lotRecordPage } from "../../server/http/lotRecord/recordHtml.ts";
import { lotJson } from "../../server/http/lotRecord/recordJson.ts";
import { lotRecordPdf } from "../../server/http/lotRecord/recordPdf.ts";
import { decimalsThatAgree, numbersInWords, percent, shown } from "../../server/http/lotRecord/shown.ts";
import { cellInWords } from "../../server/http/lotRecord/specimens.ts";
import type { LotBody } from "../../server/http/wire/lots.ts";
import { ambientAir } from "../../server/jobs/pressure/ambientAir.ts";
import { CSV_FOR_PROGRAMS } from "../../server/report/csv.ts";
import { type LotAsked, lotBody } from "../support/lot-body.ts";
import { type PdfPage, pdfPages } from "../support/pdf.ts";

const context: RecordContext = {
  printedAt: "2026-11-25T11:00:00.000000Z",
  version: "0.1.0",
  dataHash: "0123456789ab",
  heardBy: ["bench receiver 433", "bench receiver 315"],
};
const PAPERS = ["a4", "letter"] as const;

describe("the counts of the record", () => {
  it("stand first, add up to the specimens, and name each specimen once", () => {
    fc.assert(
      fc.property(anyLot(), (asked) => {
        const lot = lotBody(asked);
        const document = lotRecord(lot, context);
        const counts = countsIn(document);
        expect(counts.reduce((sum, count) => sum + count, 0)).toBe(lot.rows.length);
        const { within, outside, cannotTell, leftOut } = lot.counts;
        expect(counts).toEqual([within, outside, cannotTell, leftOut]);
        expect(namedIn(document).toSorted((a, b) => a - b)).toEqual(lot.rows.map(({ number }) => number));
      }),
      { numRuns: 60 },
    );
  });

  it("never have what cannot be told as within, in any sentence", () => {
    fc.assert(
      fc.property(anyLot(), (asked) => {
        const lot = lotBody(asked);
        const document = lotRecord(lot, context);
        for (const words of wordsOf(document)) {
          for (const [, count] of words.matchAll(/\b(\d+) (?:specimens? )?(?:is |are )?within\b/g)) {
            expect(Number(count)).toBe(lot.counts.within);
          }
        }
        const sentence = resultOf(document).find(({ lead }) => lead === "Within:")?.text ?? "";
        const open = lot.rows.filter((row) => row.leftOut === "" && row.verdict === "cannot tell");
        for (const { number } of open) expect(numbersFrom(sentence)).not.toContain(number);
      }),
      { numRuns: 60 },
    );
  });

  it("are refused where the rows give others", () => {
    const lot = lotBody();
    const counts = { ...lot.counts, within: lot.counts.within + 1, cannotTell: lot.counts.cannotTell - 1 };
    expect(() => lotRecord({ ...lot, counts }, context)).toThrow(RangeError);
  });

  it("say with one sentence why a specimen is not within", () => {
    const lot = lotBody();
    const leads = resultOf(lotRecord(lot, context)).map(({ lead }) => lead);
    expect(leads[0]).toBe("15 within, 3 outside, 1 cannot tell, 1 left out, of 20 specimens.");
    expect(leads).toEqual(expect.arrayContaining(["■ Outside, 6:", "▲ Cannot tell, 14:", "Left out, 20:"]));
    const words = wordsOf(lotRecord(lot, context)).join(" ");
    for (const row of lot.rows.filter(({ verdict }) => verdict !== "within")) expect(words).toContain(row.because);
  });
});

describe("what the record stands on", () => {
  const telegrams = [
    { id: "t1", revision: 1 },
    { id: "t2", revision: 3 },
  ];
  const gauge = [{ source: "pot", at: "2026-11-25T10:00:00.000000Z", kpa: 200, temperatureC: null }];
  const hash = dataHash(emptyLot(), telegrams, gauge);

  it("has a hash that is the same in any order, and another with any other entry, telegram or reading", () => {
    expect(hash).toMatch(/^[0-9a-f]{12}$/);
    const turned = Object.fromEntries(Object.entries(emptyLot()).toReversed()) as unknown as Lot;
    expect(dataHash(turned, telegrams.toReversed(), gauge)).toBe(hash);
    expect(dataHash({ ...emptyLot(), remarks: "." }, telegrams, gauge)).not.toBe(hash);
    expect(dataHash(emptyLot(), [telegrams[0]!, { id: "t2", revision: 4 }], gauge)).not.toBe(hash);
    expect(dataHash(emptyLot(), telegrams, [{ ...gauge[0]!, kpa: 200.1 }])).not.toBe(hash);
  });

  it("is at the foot, and in one line beside the signatures", () => {
    const document = lotRecord(lotBody(), { ...context, dataHash: hash });
    expect(document.foot).toContain(`data ${hash}`);
    expect(wordsOf(document).join(" ")).toContain(`Data ${hash}: the entries`);
  });

  it.each([
    [ambientAir(null, null), "▲ The standard atmosphere at sea level, 101.3\u202fkPa, was assumed and taken off"],
    [ambientAir(null, 500), "By that altitude 95.5\u202fkPa were taken off"],
    [ambientAir(98, null), "98.0\u202fkPa of it were taken off"],
  ])("names the air that was taken off absolute readings", (airTakenOff, words) => {
    expect(wordsOf(lotRecord(lotBody(), { ...context, airTakenOff })).join(" ")).toContain(words);
    expect(wordsOf(lotRecord(lotBody(), context)).join(" ")).not.toContain("taken off");
  });

  it("says that the plan was reckoned without those left out, where there are some", () => {
    const words = (leftOut: readonly number[]) => wordsOf(lotRecord(lotBody({ leftOut }), context)).join(" ");
    expect(words([20])).toContain("The plan was reckoned without those that were left out.");
    expect(words([])).not.toContain("reckoned without");
  });
});

it("many specimens that are outside are named in one paragraph, each with its reason", () => {
  const all = Array.from({ length: 20 }, (_, i) => i + 1);
  const lot = lotBody({ outside: all, near: [], silent: [], leftOut: [] });
  const rows = lot.rows.map((row) => ({ ...row, because: `Reason ${row.number % 10}` }));
  const text = resultOf(lotRecord({ ...lot, rows }, context)).find(({ lead }) => lead === "■ Outside:")?.text ?? "";
  for (let i = 0; i < 10; i++)
    expect(text).toContain(`No. ${i === 0 ? "10 and 20" : `${i} and ${i + 10}`}: Reason ${i}.`);
});

describe("what is shown of a figure", () => {
  it.each([
    // Error, uncertainty, verdict under a guard band of one at ±5 kPa, and what may be read.
    [5.04, 0.4, "cannot tell", "▲\u202f5.04 ±\u202f0.40"],
    [4.96, 0.04, "within", "4.96 ±\u202f0.04"],
    [-5.0004, 0.4, "cannot tell", "▲\u202f−5.0004 ±\u202f0.4000"],
    [5.94, 0.93, "outside", "■\u202f5.94 ±\u202f0.93"],
    [1.26, 0.93, "within", "1.3 ±\u202f0.9"],
    [-0.02, 0.93, "within", "0.0 ±\u202f0.9"],
  ] as const)("agrees with its verdict: %d ± %d %s", (errorKpa, expandedKpa, verdict, text) => {
    const lot = lotBody({ count: 1, outside: [], near: [], silent: [], leftOut: [] });
    const [specimen] = lot.rows;
    if (!specimen) throw new Error("there is no specimen");
    const cells = [{ setPoint: 0, readings: 4, meanKpa: 100 + errorKpa, errorKpa, expandedKpa, verdict }];
    expect(cellInWords(lot, { ...specimen, cells, figures: [] }, 0, 1)).toBe(text);
  });

  it("stands to each limit as the unrounded does, with its uncertainty and without", () => {
    const figure = fc.double({ min: -20, max: 20, noNaN: true });
    const expanded = fc.double({ min: 0, max: 5, noNaN: true });
    fc.assert(
      fc.property(figure, expanded, fc.integer({ min: 1, max: 12 }), (value, own, limit) => {
        const bounds = [-limit, limit];
        const decimals = decimalsThatAgree(value, own, { bounds, multiples: [0, 1, -1] }, 1);
        fc.pre(decimals < 9); // nearer than a billionth
        const [shownValue, shownOwn] = [Number(value.toFixed(decimals)), Number(own.toFixed(decimals))];
        for (const multiple of [0, 1, -1]) {
          const inside = (at: number) => at >= -limit - 1e-9 && at <= limit + 1e-9;
          expect(inside(shownValue + multiple * shownOwn)).toBe(inside(value + multiple * own));
        }
      }),
      { numRuns: 2000 },
    );
  });

  it.each([
    [-1.25, 1, "−1.3"],
    [-0.04, 1, "0.0"],
    [3, 0, "3"],
  ])("%d with %d decimals reads %s", (value, decimals, text) => {
    expect(shown(value, decimals)).toBe(text);
  });

  it.each([
    [0, "0\u202f%"],
    [0.00001, "under 0.01\u202f%"],
    [0.1351, "14\u202f%"],
    [0.9999, "over 99.9\u202f%"],
    [1, "100\u202f%"],
  ])("a chance of %d reads %s", (chance, text) => {
    expect(percent(chance)).toBe(text);
  });

  it("has runs of numbers in words", () => {
    expect(numbersInWords([3, 1, 2, 4, 9, 7, 8])).toBe("1 to 4 and 7 to 9");
    expect(numbersInWords([2, 1])).toBe("1 and 2");
    expect(numbersInWords([])).toBe("");
  });
});

describe("the record says what a statement of conformity needs", () => {
  // ISO/IEC 17025:2017, 7.8.6.2: to which results it applies, which specification, the decision rule; 7.8.6.1 its risk.
  it("results, limits, rule with its risk, gauge, ratio, conditions, what was not tested, and who signs", () => {
    const words = wordsOf(lotRecord(lotBody(), context)).join("\n");
    for (const part of [
      "Pressure: the gauge ±\u00a05\u202fkPa",
      "Guarded: within only where",
      "limit of error ±\u00a00.5\u202fkPa",
      "calibrated 3 Mar 2026",
      "8.6 times the gauge's uncertainty",
      "20.6\u202f°C to 22.2\u202f°C",
      "Heard by bench receiver 433 and bench receiver 315",
      "If errors are normal.",
      "Rolling wake",
      "The box was opened on the bench.",
      "This record accredits nothing",
      "Tested by, date",
      "relief valve",
      "Wheelgram 0.1.0",
    ]) {
      expect(words).toContain(part);
    }
  });

  it.each([
    [{ kind: "simple" }, "up to 50 %"],
    [{ kind: "guard", multiple: 1 }, "at most 2.5 %"],
    // Normal distribution, tables: 1 - P(0.98) is 0.1635.
    [{ kind: "guard", multiple: 0.5 }, "at most 16 %"],
    [
      { kind: "risk", falseAccept: 0.02, falseReject: 0.1 },
      "being outside is at most 2 %, outside if the chance of being within is at most 10 %",
    ],
  ] as const)("the risk of %j", (rule, risk) => {
    expect(ruleWords(rule)).toContain(risk);
  });

  it("the parts of the widest uncertainty, the biggest by name, where they are handed in", () => {
    const part = { says: "It says so", evaluation: "B", distribution: "rectangular", freedom: null } as const;
    const parts = [
      { ...part, of: "Scatter of the readings", standard: 0.1 },
      { ...part, of: "Gauge", standard: 0.3 },
    ];
    const about = { setPoint: 1, of: "Error", unit: "kPa", confidence: 0.95, coverage: 2, freedom: null };
    const budget = { ...about, parts, standard: Math.sqrt(0.1), expanded: 2 * Math.sqrt(0.1) };
    const words = wordsOf(lotRecord(lotBody(), { ...context, widest: { number: 3, budget } })).join("\n");
    expect(words).toContain("specimen 3 at 200\u202fkPa, up, with k = 2. Its biggest part is Gauge (It says so).");
    expect(words).toContain("Gauge 90\u202f% (type B) and Scatter of the readings 10\u202f% (type B)");
  });

  it("errors as shares of their limits where these differ from set point to set point", () => {
    const limits = { ...emptyLot().limits, pressurePercent: 2 };
    const rows = lotBody().rows.map((row) => ({ ...row, figures: [] }));
    const words = wordsOf(lotRecord(lotBody({ more: { limits, rows } }), context));
    expect(words).toEqual(expect.arrayContaining(["limit +100", "Error: reading less gauge, in % of its limit"]));
    expect(words).toEqual(expect.arrayContaining(["±\u00a02", "±\u00a04", "±\u00a06"]));
  });

  it("an empty lot has no figure and says why", () => {
    const document = lotRecord(lotBody({ count: 0 }), context);
    expect(document.sections.flatMap(({ blocks }) => blocks.filter(({ kind }) => kind === "figure"))).toEqual([]);
    const words = wordsOf(document).join("\n");
    expect(words).toContain("No specimen is on this lot: nothing was tested.");
    expect(words).toContain("No figure: no specimen has an error yet");
  });

  it("specimens that were drawn and are on no row count as not tested", () => {
    const words = wordsOf(lotRecord(lotBody({ more: { sample: 22 } }), context)).join("\n");
    expect(words).toContain("22 specimens were drawn: 2 of them stand on no row and were not tested.");
  });
});

describe("the page and the PDF", () => {
  const cases: readonly (readonly [string, LotAsked])[] = [
    ["20 specimens", {}],
    ["5 specimens", { count: 5, outside: [2], near: [3], silent: [], leftOut: [] }],
    ["100 specimens", { count: 100, outside: [6, 55], near: [14] }],
    ["an empty lot", { count: 0 }],
  ];
  describe.each(cases)("of %s", (_, asked) => {
    it.each(PAPERS)("say the same, on %s", async (paper) => {
      const lot = lotBody(asked);
      const document = lotRecord(lot, { ...context, paper });
      const html = textOfHtml(lotRecordPage(lot, { ...context, paper }));
      const pdf = wholeText(document, await pagesOf(lot, paper));
      for (const words of wordsOf(document)) {
        expect(html).toContain(bare(words));
        expect(pdf).toContain(bare(words));
      }
      expect(pdf).not.toContain("□");
      expect(pdf).not.toContain("\ufffd");
    });
  });

  it.each(PAPERS)("of 20 specimens at 5 set points fill two pages of %s, with the verdict of each", async (paper) => {
    const lot = lotBody();
    const pages = await pagesOf(lot, paper);
    expect(pages.map(({ width, height }) => [Math.round(width), Math.round(height)])).toEqual(
      paper === "a4"
        ? [
            [595, 842],
            [595, 842],
          ]
        : [
            [612, 792],
            [612, 792],
          ],
    );
    const text = pages.map((page) => page.text).join("");
    for (const row of lot.rows) {
      const verdict = row.leftOut === "" ? row.verdict : "left out";
      const next = lot.rows.find(({ number }) => number === row.number + 1);
      const from = text.indexOf(`${row.number}${bare(row.identity ?? row.state)}`);
      const to = next
        ? text.indexOf(`${next.number}${bare(next.identity ?? next.state)}`, from)
        : text.indexOf("Fillsofthepot");
      expect(text.slice(from, to)).toMatch(new RegExp(`${bare(verdict)}(Lotrecord.*)?$`));
    }
  });

  it.each(PAPERS)(
    "of 20 specimens at 5 set points fill three pages of %s at most, with long words everywhere",
    async (paper) => {
      const long = (most: number) => "A long word about the box, ".repeat(80).slice(0, most).trim();
      const more = {
        title: long(120),
        supplier: long(120),
        part: "W".repeat(120),
        drawn: long(400),
        testedBy: long(120),
        remarks: long(1000),
      };
      const all = Array.from({ length: 20 }, (_, i) => i + 1);
      const lot = lotBody({ outside: all, near: [], silent: [], leftOut: [], more });
      const rows = lot.rows.map((row) => ({
        ...row,
        label: `${row.number} ${long(20)}`,
        because: `${row.number} ${long(80)}`,
      }));
      expect((await pagesOf({ ...lot, rows }, paper)).length).toBeLessThanOrEqual(3);
    },
  );

  it("of 100 specimens repeat the head of the table on each page that it goes on to, and say so", async () => {
    const lot = lotBody({ count: 100 });
    const pages = await pagesOf(lot, "a4");
    const withRows = pages.filter(({ text }) =>
      lot.rows.some(({ identity }) => identity !== null && text.includes(identity)),
    );
    expect(withRows.length).toBeGreaterThan(1);
    for (const { text } of withRows) expect(text).toContain("Battery");
    expect(pages[0]?.text).toContain("thetablegoesonovermorethanonepage");
  });

  it("are black on white, inside the margins", async () => {
    for (const paper of PAPERS) {
      for (const page of await pagesOf(lotBody(), paper)) {
        for (const colour of page.colours) expect(colour.join()).toBe("0,0,0");
        expect(page.images).toBe(0);
        for (const { x, y } of page.at) {
          expect(x).toBeGreaterThan(28);
          expect(x).toBeLessThan(page.width - 28);
          expect(y).toBeGreaterThan(22);
          expect(y).toBeLessThan(page.height - 22);
        }
      }
    }
  });
});

describe("the PDF", () => {
  it("is the same byte for byte at the same time, and not at another", async () => {
    const [first, second] = [await lotRecordPdf(lotBody(), context), await lotRecordPdf(lotBody(), context)];
    expect(Buffer.from(first).equals(second)).toBe(true);
    const later = await lotRecordPdf(lotBody(), { ...context, printedAt: "2026-11-25T11:01:00Z" });
    expect(Buffer.from(first).equals(later)).toBe(false);
  });

  it("has a title, a language, a structure and a figure in words", async () => {
    const file = Buffer.from(await lotRecordPdf(lotBody(), context)).toString("latin1");
    expect(file.slice(0, 8)).toBe("%PDF-1.7");
    expect(file).toContain("(Lot record 7Q4X: Snap-in sensors, November)");
    expect(file).toContain("/DisplayDocTitle true");
    expect(file).toContain("/Lang (en)");
    expect(file).toContain("/Marked true");
    for (const type of ["Document", "H1", "H2", "Table", "TH", "TD", "Figure"]) expect(file).toContain(`/S /${type}`);
    expect(file).toMatch(/\/Alt \(/);
  });

  it("keeps what XML would take for its own out of the title that a viewer shows", async () => {
    const file = Buffer.from(await lotRecordPdf(lotBody({ more: { title: "A <b> & C" } }), context)).toString("latin1");
    expect(file).toContain('xml:lang="x-default">Lot record 7Q4X: A  b    C</rdf:li>');
  });

  it("puts a box in place of a letter that no face has", async () => {
    const pages = await pagesOf(lotBody({ more: { supplier: "漢字 Parts" } }), "a4");
    expect(pages[0]?.text).toContain("□□Parts");
  });
});

describe("the page", () => {
  it("takes what people typed as text, and has no script and no style in it", () => {
    const evil = '<script>alert(1)</script><img src=x onerror="a()">';
    const lot = lotBody();
    const rows = lot.rows.map((row) => ({
      ...row,
      label: evil.slice(0, 80),
      because: evil,
      flags: [{ kind: "layout" as const, says: evil }],
    }));
    const html = lotRecordPage(
      {
        ...lot,
        rows,
        title: evil,
        supplier: evil,
        part: evil,
        drawn: evil,
        testedBy: evil,
        remarks: evil,
        gauge: { ...lot.gauge, name: evil },
      },
      { ...context, heardBy: [evil] },
    );
    expect(html).not.toMatch(/<script|<img|<style|\sstyle=|\son\w+="/);
    expect(html).toContain("&#60;script&#62;");
    expect(html).toContain('href="/help/lot-record.css"');
  });

  it("names its paper", () => {
    expect(lotRecordPage(lotBody(), { ...context, paper: "letter" })).toContain('href="/help/sheet-letter.css"');
    expect(lotRecordPage(lotBody(), context)).not.toContain("/help/sheet-");
  });
});

describe("the CSV", () => {
  it("has a row for each specimen and set point, with plain numbers", () => {
    const lot = lotBody();
    const rows = rowsOf(lotCsv(lot, CSV_FOR_PROGRAMS));
    expect(rows.length).toBe(lot.rows.length * lot.setPoints.length);
    const row = rows.find((one) => one["specimen"] === "6" && one["setPoint"] === "4");
    const cell = lot.rows[5]?.cells[3];
    expect(Number(row?.["errorKpa"])).toBe(cell?.errorKpa);
    expect(row).toMatchObject({ sensorId: lot.rows[5]?.identity, setPointKpa: "200", way: "down", gaugeKpa: "200.3" });
    expect(row).toMatchObject({
      leastErrorKpa: "-5",
      mostErrorKpa: "5",
      setPointVerdict: "outside",
      verdict: "outside",
    });
    expect(row?.["filledAt"]).toBe("2026-11-25T10:09:00.000Z");
    // One that did not answer has its rows too, and one that was left out says so.
    expect(rows.filter((one) => one["specimen"] === "17").map((one) => one["errorKpa"])).toEqual(["", "", "", "", ""]);
    expect(rows.find((one) => one["specimen"] === "20")).toMatchObject({ verdict: "left out" });
  });

  it("guards text that a spreadsheet would run, and leaves negative numbers numbers", () => {
    const lot = lotBody({ more: { supplier: "=cmd|'/c calc'!A1", part: "+1" } });
    const rows = lot.rows.map((row) => ({ ...row, label: "@sum", note: "-2+3", identity: "12345678" }));
    const dialect = spreadsheetDialect({ locale: "de-DE" });
    if (!dialect) throw new Error("there is no such language");
    const text = lotCsv({ ...lot, rows }, dialect);
    expect(text).toContain("'=cmd|'/c calc'!A1;'+1;1;'12345678;");
    expect(text).toContain("'@sum");
    expect(text).toContain("'-2+3");
    expect(text).toMatch(/;-\d+,\d+;/);
    expect(text).not.toMatch(/'-\d+[,;]/);
  });

  it("of a lot without set points has a row for each specimen", () => {
    const rows = rowsOf(lotCsv(lotBody({ setPoints: [] }), CSV_FOR_PROGRAMS));
    expect(rows.map((row) => row["specimen"])).toEqual(Array.from({ length: 20 }, (_, i) => String(i + 1)));
  });
});

describe("the JSON", () => {
  it("has the whole lot and says which version it is", () => {
    const lot = lotBody();
    expect(JSON.parse(lotJson(lot, []))).toEqual({
      format: "wheelgram-lot",
      version: 1,
      lot: JSON.parse(JSON.stringify(lot)),
      readings: [],
    });
  });
});

function anyLot(): fc.Arbitrary<LotAsked> {
  const some = fc.uniqueArray(fc.integer({ min: 1, max: 12 }), { maxLength: 4 });
  return fc.record({ count: fc.integer({ min: 0, max: 12 }), outside: some, near: some, silent: some, leftOut: some });
}

function resultOf({ sections }: RecordDocument) {
  const [first] = sections;
  expect(first?.heading).toBe("Result");
  return (first?.blocks ?? []).flatMap((block) => (block.kind === "paragraph" ? [block] : []));
}

function countsIn(document: RecordDocument): readonly number[] {
  const [first] = resultOf(document);
  const found = /^(\d+) within, (\d+) outside, (\d+) cannot tell, (\d+) left out, of (\d+) specimens?\.$/.exec(
    first?.lead ?? "",
  );
  return (found ?? []).slice(1, 5).map(Number);
}

function namedIn(document: RecordDocument): readonly number[] {
  return resultOf(document).flatMap(({ lead, text }) => {
    if (lead === "Within:") return numbersFrom(text);
    return /(?:Outside|Cannot tell|Left out), /.test(lead) ? numbersFrom(lead) : [];
  });
}

/** `1 to 4 and 7` as 1, 2, 3, 4, 7. */
function numbersFrom(text: string): readonly number[] {
  return [...text.matchAll(/(\d+)(?: to (\d+))?/g)].flatMap(([, from, to]) =>
    Array.from({ length: Number(to ?? from) - Number(from) + 1 }, (_, i) => Number(from) + i),
  );
}

async function pagesOf(lot: LotBody, paper: (typeof PAPERS)[number]): Promise<PdfPage[]> {
  return pdfPages(Buffer.from(await lotRecordPdf(lot, { ...context, paper })));
}

/** Of all pages, without what stands at their feet or comes again at the head of a page. */
function wholeText({ foot, sections }: RecordDocument, pages: readonly PdfPage[]): string {
  const heads = sections.flatMap(({ blocks }) =>
    blocks.flatMap((block) => (block.kind === "table" ? [bare(block.columns.map(({ name }) => name).join(""))] : [])),
  );
  return pages
    .map(({ text }, i) => {
      const feet = `${bare(foot)}Page${i + 1}of${pages.length}`;
      expect(text.endsWith(feet)).toBe(true);
      const body = text.slice(0, -feet.length);
      const again = i > 0 ? heads.find((head) => body.startsWith(head)) : undefined;
      return again === undefined ? body : body.slice(again.length);
    })
    .join("");
}

function textOfHtml(html: string): string {
  const body = html.slice(html.indexOf("<h1>"));
  return bare(
    body.replace(/<[^>]*>/g, "").replace(/&#(\d+);/g, (_, code: string) => String.fromCharCode(Number(code))),
  );
}

function bare(text: string): string {
  return text.replace(/\s/g, "");
}

/** Of cells without quotes or line breaks. */
function rowsOf(csv: string): readonly Readonly<Record<string, string>>[] {
  const [head = [], ...rows] = csv
    .trimEnd()
    .split("\r\n")
    .map((row) => [...row.matchAll(/(?:^|,)("(?:[^"]|"")*"|[^,]*)/g)].map(([, cell = ""]) => cell));
  return rows.map((cells) => Object.fromEntries(head.map((name, i) => [name, cells[i] ?? ""])));
}
