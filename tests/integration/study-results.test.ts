import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { copyFileSync, mkdirSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { csvParseRows } from "d3";
import fc from "fast-check";
import { asyncBufferFromFile, parquetMetadataAsync, parquetReadObjects } from "hyparquet";
import { beforeAll, describe, expect, it } from "vitest";
import type { DoneInput, StudyFacts } from "../../server/study/results/facts.ts";
import { writeResults } from "../../server/study/results/writeResults.ts";
import { temporaryFolder } from "../support/folder.ts";
import { collectionFaults } from "../support/sigmf-rules.ts";
import { talkingSensor } from "../support/study-records.ts";
import { resultInput, studyFacts, studyOfSamples } from "../support/study-results.ts";

const top = join(import.meta.dirname, "../..");
const samples = join(top, "samples");
/** What is some seconds here may be minutes on a machine that does other things beside. */
const SLOW_MS = 300_000;
const TABLES = ["inputs", "ladder", "reasons", "bursts", "telegrams"];

interface ColumnSchema {
  readonly name: string;
  readonly type: string;
  readonly unit: string | null;
  readonly nullable: boolean;
  readonly meaning: string;
}
type Row = Record<string, unknown>;

const jsonOf = (folder: string, name: string) => JSON.parse(readFileSync(join(folder, name), "utf8"));
const columnsOf = (folder: string, table: string): ColumnSchema[] =>
  jsonOf(folder, "schema.json").tables.find(({ name }: { name: string }) => name === table).columns;

function jsonRows(folder: string, table: string): Row[] {
  const text = readFileSync(join(folder, `${table}.jsonl`), "utf8");
  return text
    .split("\n")
    .slice(0, -1)
    .map((line) => JSON.parse(line));
}

async function parquetRows(folder: string, table: string): Promise<Row[]> {
  const file = await asyncBufferFromFile(join(folder, `${table}.parquet`));
  const rows = await parquetReadObjects({ file });
  // Numbers of 64 bits come as what JSON does not have; none of ours is so large.
  return rows.map((row) =>
    Object.fromEntries(
      Object.entries(row).map(([name, cell]) => [name, typeof cell === "bigint" ? Number(cell) : cell]),
    ),
  );
}

/** Read by a general parser, and each cell then by what the schema says of its column. */
function csvRows(folder: string, table: string): Row[] {
  const columns = columnsOf(folder, table);
  const [head, ...rows] = csvParseRows(readFileSync(join(folder, `${table}.csv`), "utf8"));
  expect(head).toEqual(columns.map(({ name }) => name));
  return rows.map((cells) => {
    expect(cells).toHaveLength(columns.length);
    return Object.fromEntries(columns.map((column, i) => [column.name, cellOf(column, cells[i]!)]));
  });
}

function cellOf({ type }: ColumnSchema, text: string): unknown {
  if (text === "") return null;
  if (type === "string") return text;
  if (type === "boolean") return text === "true";
  expect(text).toMatch(/^-?\d/);
  return Number(text);
}

/** What a CSV cell must say for a text: nothing for none, and no formula. */
function asCsvCell(cell: unknown): unknown {
  if (cell === "") return null;
  return typeof cell === "string" && /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
}

async function expectAgreement(folder: string): Promise<number> {
  let rows = 0;
  for (const table of TABLES) {
    const json = jsonRows(folder, table);
    rows += json.length;
    expect(await parquetRows(folder, table)).toEqual(json);
    const expected = json.map((row) =>
      Object.fromEntries(Object.entries(row).map(([name, cell]) => [name, asCsvCell(cell)])),
    );
    expect(csvRows(folder, table)).toEqual(expected);
  }
  return rows;
}

async function parquetGroups(folder: string): Promise<{ rows: number; groups: number }> {
  const file = await asyncBufferFromFile(join(folder, "bursts.parquet"));
  const { row_groups: groups, num_rows: rows } = await parquetMetadataAsync(file);
  return { rows: Number(rows), groups: groups.length };
}

async function written(facts: StudyFacts, done: readonly DoneInput[]): Promise<string> {
  const folder = join(temporaryFolder("study-results"), "results");
  await writeResults(folder, facts, done);
  return folder;
}

const filesIn = (folder: string) =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1))
    .sort();

describe("results of the samples", () => {
  let facts: StudyFacts;
  let done: DoneInput[];
  let folder: string;

  beforeAll(async () => {
    ({ facts, done } = await studyOfSamples(samples));
    folder = await written(facts, done);
  }, SLOW_MS);

  it("are the same in CSV, JSON Lines and Parquet, row by row", async () => {
    expect(await expectAgreement(folder)).toBeGreaterThan(2000);
  });

  it("have a telegram for each that was heard, and lose none of its fields", () => {
    const heard = done.flatMap(({ index, records }) =>
      [...(records() as Iterable<{ kind: string; fields?: unknown }>)]
        .filter(({ kind }) => kind === "telegram")
        .map(({ fields }) => ({ input: index, fields })),
    );
    const rows = jsonRows(folder, "telegrams");
    expect(rows.map(({ input, fields }) => ({ input, fields: JSON.parse(String(fields)) }))).toEqual(heard);
    expect(rows.length).toBeGreaterThan(1000);
  });

  it("have every column in the schema, with a meaning, and a unit where it is a quantity", () => {
    for (const table of TABLES) {
      const columns = columnsOf(folder, table);
      for (const row of jsonRows(folder, table)) expect(Object.keys(row)).toEqual(columns.map(({ name }) => name));
      for (const { name, type, unit, meaning } of columns) {
        expect(meaning).toMatch(/^[A-Za-z].{5,}\.$/);
        if (/Seconds|Hz$|Db$|Dbfs$|Kpa$|C$|V$/.test(name)) expect(unit, name).not.toBeNull();
        if (type === "string" || type === "boolean") expect(unit, name).toBeNull();
      }
    }
  });

  it("tell nothing in a column that may not be empty but what it is", () => {
    for (const table of TABLES) {
      const needed = columnsOf(folder, table).filter(({ nullable }) => !nullable);
      for (const row of jsonRows(folder, table)) {
        for (const { name, type } of needed) {
          const kind = typeof row[name];
          expect(kind, `${table}.${name}`).toBe(type === "string" || type === "boolean" ? type : "number");
        }
      }
    }
  });

  it("have in Parquet the types of the schema, and the schema itself", async () => {
    const physical = { int32: "INT32", int64: "INT64", double: "DOUBLE", string: "BYTE_ARRAY", boolean: "BOOLEAN" };
    for (const table of TABLES) {
      const file = await asyncBufferFromFile(join(folder, `${table}.parquet`));
      const { schema, key_value_metadata: kept } = await parquetMetadataAsync(file);
      const columns = columnsOf(folder, table);
      expect(schema.slice(1).map(({ name, type, repetition_type }) => [name, type, repetition_type])).toEqual(
        columns.map(({ name, type, nullable }) => [
          name,
          physical[type as keyof typeof physical],
          nullable ? "OPTIONAL" : "REQUIRED",
        ]),
      );
      const own = kept?.find(({ key }) => key === "wheelgram.schema")?.value ?? "";
      expect(JSON.parse(own).columns).toEqual(columns);
    }
  });

  it("are byte for byte the same when they are written again", async () => {
    const again = await written(facts, done);
    expect(filesIn(again)).toEqual(filesIn(folder));
    for (const name of filesIn(folder)) {
      expect(readFileSync(join(again, name)).equals(readFileSync(join(folder, name))), name).toBe(true);
    }
  });

  it("have a manifest with the hash of each file, of each input and of each layout", () => {
    const manifest = jsonOf(folder, "manifest.json");
    const files: { name: string; bytes: number; sha256: string }[] = manifest.files;
    expect(files.map(({ name }) => name)).toEqual(filesIn(folder).filter((name) => name !== "manifest.json"));
    for (const { name, bytes, sha256 } of files) {
      const content = readFileSync(join(folder, name));
      expect([content.length, createHash("sha256").update(content).digest("hex")]).toEqual([bytes, sha256]);
    }
    expect(manifest.inputs.map(({ name, sha512 }: { name: string; sha512: string }) => [name, sha512])).toEqual(
      facts.inputs.map(({ name, hash }) => [name, hash]),
    );
    expect(manifest.layouts).toEqual(
      facts.layouts.map(({ layout, version, sha256 }) => ({ id: layout.id, version, sha256 })),
    );
    expect(manifest.settings).toEqual(facts.settings);
    // As `sha256sum` would say of such lines.
    const lines = facts.inputs.flatMap(({ hash, name }) => (hash === null ? [] : [`${hash}  ${name}\n`])).join("");
    expect(manifest.dataSha256).toBe(createHash("sha256").update(lines).digest("hex"));
  });

  it("tell no time of day but those of the recordings, and no path of this machine", () => {
    const now = new Date().toISOString().slice(0, 11);
    for (const name of filesIn(folder)) {
      const text = readFileSync(join(folder, name), "latin1");
      expect(text, name).not.toContain(now);
      expect(text, name).not.toContain(top);
    }
  });

  it("have statistics that add up", () => {
    const { success, errors, heard } = jsonOf(folder, "statistics.json");
    const inputs = jsonRows(folder, "inputs");
    const sum = (key: string) => inputs.reduce((total, row) => total + Number(row[key] ?? 0), 0);
    expect(success.burstsRead).toMatchObject({ count: sum("readBursts"), of: sum("bursts") });
    expect(success.telegramsVerified).toMatchObject({ count: sum("verifiedTelegrams"), of: sum("telegrams") });
    const stopped = errors.reasons.reduce((total: number, { bursts }: { bursts: number }) => total + bursts, 0);
    expect(stopped).toBe(success.burstsRead.of - success.burstsRead.count);
    const ofLayouts = heard.layouts.reduce(
      (total: number, { telegrams }: { telegrams: number }) => total + telegrams,
      0,
    );
    expect(ofLayouts).toBe(success.telegramsVerified.of);
    expect(success.inputs).toMatchObject({ done: done.length, failed: 1, skipped: 1, total: facts.inputs.length });
  });

  it("have a collection that SigMF allows, beside the recordings that it lists", () => {
    const beside = join(temporaryFolder("study-collection"), "all");
    mkdirSync(beside);
    for (const name of readdirSync(samples)) {
      if (name.endsWith(".sigmf-meta")) copyFileSync(join(samples, name), join(beside, name));
    }
    const collection = jsonOf(folder, "The-samples.sigmf-collection");
    expect(collectionFaults(collection, beside)).toEqual([]);
    expect(collection.collection["core:streams"]).toHaveLength(
      readdirSync(beside).filter((name) => name.endsWith(".sigmf-meta")).length,
    );
  });

  it("have a drawing for each question", () => {
    expect(filesIn(join(folder, "plots"))).toEqual([
      "carrier-offset.svg",
      "gaps.svg",
      "ladder.svg",
      "signal-to-noise.svg",
      "telegrams-per-input.svg",
    ]);
  });
});

describe("odd names and reasons", () => {
  const oddText = fc.oneof(
    fc.string({ unit: "binary", maxLength: 30 }),
    fc.constantFrom(
      "=1+1",
      "+a",
      "-1",
      "@sum",
      'a "b", c',
      "a\r\nb",
      "\ta",
      "Höhe µ",
      "\u2028\u2029\u0085",
      "\ud83d\ude00",
      "\ud800",
      "'",
      "null",
      "0",
      "true",
      "a,b;c",
      "\0",
    ),
  );

  it("come out of every form as they went in", async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.tuple(oddText, oddText), { minLength: 1, maxLength: 8 }), async (texts) => {
        const inputs = texts.map(([name, reason], index) => resultInput(index, { name, reason, state: "failed" }));
        const folder = await written(studyFacts(inputs, { title: texts[0]![0] }), []);
        // Half a character is no text: it is replaced in all three alike.
        // (A byte order mark at the start is left out of this: the Parquet reader of these tests drops it.)
        const whole = (text: string) => text.replace(/\p{Surrogate}/gu, "\ufffd");
        const rows = jsonRows(folder, "inputs");
        expect(rows.map(({ name, reason }) => [name, reason])).toEqual(texts.map(([a, b]) => [whole(a), whole(b)]));
        await expectAgreement(folder);
        expect(readFileSync(join(folder, "inputs.jsonl"), "utf8")).not.toMatch(/[\u0085\u2028\u2029]/);
        expect(jsonOf(folder, "manifest.json").inputs.map(({ name }: { name: string }) => name)).toEqual(
          texts.map(([name]) => name),
        );
      }),
      { numRuns: 40 },
    );
  });
});

describe("many inputs", () => {
  it("of many row groups agree in all forms", async () => {
    const inputs = [0, 1].map((index) => resultInput(index));
    // A group is written once it has so much text.
    const symbols = "a5".repeat(10_000);
    const told = [...talkingSensor(150)].map((record) => (record.kind === "burst" ? { ...record, symbols } : record));
    const folder = await written(
      studyFacts(inputs),
      inputs.map(({ index }) => ({ index, records: () => told })),
    );
    expect(await parquetGroups(folder)).toEqual({ rows: 600, groups: 2 });
    await expectAgreement(folder);
  });

  it(
    "need no more memory than few",
    async () => {
      const script = fileURLToPath(new URL("../support/write-many-results.ts", import.meta.url));
      const peakMb = (inputs: number, folder: string) => {
        // With so small a heap what grows with the inputs would fail, or collect for ever.
        const args = ["--max-old-space-size=160", "--import", "tsx", script, folder, String(inputs)];
        const ran = spawnSync(process.execPath, args, { encoding: "utf8", cwd: top });
        expect(ran.stderr).toBe("");
        expect(ran.status).toBe(0);
        return Number(ran.stdout) / 1024;
      };
      const folder = temporaryFolder("study-many");
      const few = peakMb(200, join(folder, "few"));
      const many = peakMb(2000, join(folder, "many"));
      // A group is written once it has so many rows.
      expect(await parquetGroups(join(folder, "many"))).toEqual({ rows: 80_000, groups: 4 });
      expect(many).toBeLessThan(400);
      expect(many - few).toBeLessThan(120);
    },
    SLOW_MS,
  );
});
