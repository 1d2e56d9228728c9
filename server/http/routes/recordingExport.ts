import type { Response } from "express";
import { z } from "zod";
import type { Stretch } from "../../recordings/stretchMetadata.ts";
import { CSV_FOR_PROGRAMS, type CsvDialect } from "../../report/csv.ts";
import type { StoredRecording } from "../../store/store.ts";
import { spreadsheetDialect } from "../csvDialect.ts";
import {
  framesCsv,
  framesCsvSchema,
  framesIn,
  framesJson,
  framesJsonLines,
  framesJsonSchema,
} from "../framesExport.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { samplesHere } from "../samplesHere.ts";
import { type ExportedMark, sendStretch } from "../stretchExport.ts";

const FORMS = ["sigmf", "csv", "csv-spreadsheet", "json", "jsonl"] as const;
type Form = (typeof FORMS)[number];

const ExportQuery = z.strictObject({
  form: z.enum(FORMS).default("json"),
  from: z.number().min(0).optional(),
  to: z.number().min(0).optional(),
  schema: z.enum(["true", "false"]).default("false"),
  locale: z.string().min(1).max(40).optional(),
  separator: z.enum(["comma", "semicolon", "tab"]).optional(),
  decimal: z.enum(["point", "comma"]).optional(),
  marks: z.string().max(1600).optional(),
});

const NOTES = `?from and ?to are seconds, the whole recording where they are left out. ?form=sigmf is a SigMF archive with
the samples of the stretch, the metadata that the recording came with, the notes, and the bursts with what was read of
them; ?marks=A@0.2034,B@0.21 puts marks in, by name (percent-encoded, at most 20 characters) and seconds. Its captures and annotations are counted from the first
sample of the stretch, and clipped to it. The other forms are the frames of which any part lies in the stretch, without
samples: csv for programs (RFC 4180, decimal point); csv-spreadsheet with the decimal mark and the separator of ?locale,
or with ?decimal and ?separator, and a byte order mark; json; jsonl with one frame a line. ?schema=true gives what the
columns or keys mean, with their units, instead of the frames.`;

const TYPES = {
  sigmf: ["application/x-tar", ".sigmf"],
  csv: ["text/csv", ".csv"],
  "csv-spreadsheet": ["text/csv", "-spreadsheet.csv"],
  json: ["application/json", ".json"],
  jsonl: ["application/x-ndjson", ".jsonl"],
} as const;

/** @param version Of the program, which the annotations name as their maker. */
export function recordingExportRoutes(house: House, version: string): readonly Route[] {
  const { store } = house;
  return [
    route({
      method: "get",
      path: "/recordings/{hash}/export",
      summary: "A recording, or a stretch of it, as a file: samples with notes, or the frames as a table",
      notes: NOTES,
      query: ExportQuery,
      answers: {
        200: {
          says: "The file.",
          body: "file",
          types: [...new Set(Object.values(TYPES).map(([type]) => type))],
          headers: { "Content-Disposition": "its name" },
        },
      },
      problems: ["not-found", "not-fitting", "not-now", "samples-gone", "samples-elsewhere"],
      async handle({ params, query }, response) {
        const recording = await store.recording(params["hash"] ?? "");
        if (!recording) {
          throw new Problem("not-found", `There is no recording ${params["hash"]}.`, {
            nextSteps: ["See the list at /recordings."],
          });
        }
        const stretch = stretchOf(recording, query);
        const dialect = query.form === "csv-spreadsheet" ? dialectOf(query) : CSV_FOR_PROGRAMS;
        const wantsSchema = query.schema === "true" && query.form !== "sigmf";
        const base = baseName(recording.name) + stretchWords(recording, stretch);
        const [type, ending] = wantsSchema ? ["application/json", `-${query.form}-schema.json`] : TYPES[query.form];
        const headers = {
          "Content-Type": type.startsWith("text/") ? `${type}; charset=utf-8` : type,
          "Content-Disposition": disposition(base + ending),
        };
        if (query.form === "sigmf") {
          const readable = await samplesHere(house, recording);
          const marks = marksOf(recording, query.marks);
          response.status(200).set({ ...headers, "Cache-Control": "no-store" });
          const name = plainName(base);
          await send(response, () =>
            sendStretch(house, readable, stretch, { name, generator: `wheelgram ${version}`, marks }, response),
          );
          return undefined;
        }
        const body = await frames(recording, stretch, query.form, dialect, wantsSchema);
        return { status: 200, body, headers };
      },
    }),
  ];

  async function frames(
    recording: StoredRecording,
    stretch: Stretch | undefined,
    form: Exclude<Form, "sigmf">,
    dialect: CsvDialect,
    wantsSchema: boolean,
  ): Promise<string> {
    const { hash, sampleRateHz, sampleCount, analysis } = recording;
    if (analysis.state !== "done") {
      throw new Problem("not-now", "It is not analysed yet, so there are no frames to export.", {
        nextSteps: ["Wait for its analysis, or export it with form=sigmf."],
      });
    }
    const { fromSample, toSample } = stretch ?? { fromSample: 0, toSample: sampleCount };
    const seconds = { fromSeconds: fromSample / sampleRateHz, toSeconds: toSample / sampleRateHz };
    const found = framesIn(seconds, recording, await store.burstsOf(hash), await store.telegramsOf(hash));
    const asText = (value: unknown) => `${JSON.stringify(value, undefined, 2)}\n`;
    switch (form) {
      case "csv":
      case "csv-spreadsheet":
        return wantsSchema ? asText(framesCsvSchema(found, dialect)) : framesCsv(found, dialect);
      case "json":
        return wantsSchema ? asText(framesJsonSchema(form)) : framesJson(recording, seconds, found);
      case "jsonl":
        return wantsSchema ? asText(framesJsonSchema(form)) : framesJsonLines(found);
    }
  }
}

/** What has begun to go out cannot become a problem document: the connection breaks, so that nobody takes it for whole. */
async function send(response: Response, work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (!response.headersSent) throw error;
    response.destroy();
  }
}

/** `undefined` for all of it. */
function stretchOf(
  { sampleRateHz, sampleCount }: StoredRecording,
  { from, to }: { readonly from?: number | undefined; readonly to?: number | undefined },
): Stretch | undefined {
  if (from === undefined && to === undefined) return undefined;
  const seconds = sampleCount / sampleRateHz;
  const fromSample = Math.round((from ?? 0) * sampleRateHz);
  const toSample = Math.min(sampleCount, Math.round((to ?? seconds) * sampleRateHz));
  if (fromSample < toSample) return fromSample === 0 && toSample === sampleCount ? undefined : { fromSample, toSample };
  const complaints = [{ path: "to", found: String(to ?? seconds), allowed: `more than from, from below ${seconds}` }];
  throw new Problem("not-fitting", "The stretch holds no sample.", { complaints });
}

function dialectOf(query: z.infer<typeof ExportQuery>): CsvDialect {
  const dialect = spreadsheetDialect(query);
  if (dialect) return dialect;
  const isLocale = query.locale !== undefined && query.decimal === undefined;
  const complaint = isLocale
    ? { path: "locale", found: query.locale ?? "", allowed: "a language, such as de-AT, and a separator of its own" }
    : { path: "separator", found: String(query.separator), allowed: "another sign than the decimal mark" };
  throw new Problem("not-fitting", "A table cannot be written so.", { complaints: [complaint] });
}

function marksOf({ sampleRateHz, sampleCount }: StoredRecording, marks: string | undefined): ExportedMark[] {
  if (marks === undefined || marks === "") return [];
  return marks.split(",").map((text) => {
    const [, encoded = "", seconds] = /^([^@]+)@(\d+(?:\.\d+)?)$/.exec(text) ?? [];
    const name = markName(encoded);
    const atSample = Math.round(Number(seconds) * sampleRateHz);
    if (name !== undefined && atSample <= sampleCount) return { name, atSample };
    const allowed = `such as A@0.2034, at most ${sampleCount / sampleRateHz}`;
    throw new Problem("not-fitting", "A mark does not fit.", { complaints: [{ path: "marks", found: text, allowed }] });
  });
}

/** As a page gives it, with what would part the list encoded; `undefined` for none, and for more than is a name. */
function markName(encoded: string): string | undefined {
  try {
    const name = decodeURIComponent(encoded).trim();
    return name !== "" && [...name].length <= 20 && !/\p{Cc}/u.test(name) ? name : undefined;
  } catch {
    return undefined; // a stray %
  }
}

/** Without the ending of the file that it came in. */
function baseName(name: string): string {
  const bare = name.replace(/\.(sigmf(-meta|-data)?|wav|iq|raw|bin|cu8|ci8|ci16|cf32)$/i, "");
  return [...bare.replace(/\p{Surrogate}/gu, "")].slice(0, 80).join("") || "recording";
}

function stretchWords({ sampleRateHz }: StoredRecording, stretch: Stretch | undefined): string {
  if (stretch === undefined) return "";
  const seconds = (sample: number) => String(Number((sample / sampleRateHz).toFixed(6)));
  return `-${seconds(stretch.fromSample)}s-to-${seconds(stretch.toSample)}s`;
}

/** Letters, digits, points and hyphens, which every system takes. @source SigMF specification 1.2.5, file names. */
function plainName(name: string): string {
  const plain = name
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .replace(/[^A-Za-z0-9.-]+/g, "-")
    .replace(/^[-.]+|[-.]+$/g, "");
  return plain === "" ? "recording" : plain;
}

/** @source RFC 6266, section 4.3; RFC 8187. */
function disposition(name: string): string {
  const coded = encodeURIComponent(name).replace(/['()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16)}`);
  return `attachment; filename="${plainName(name)}"; filename*=UTF-8''${coded}`;
}
