import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { SAMPLE_TYPES } from "../../decoders/sources.ts";
import { firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { RATE_RANGE_HZ } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import { layoutHash } from "./layoutHash.ts";

/** Which layout, as it was when the study was frozen. */
export interface FrozenLayout {
  readonly id: string;
  /** Of a layout on the shelf; `null` where it has none. */
  readonly version: number | null;
  readonly sha256: string;
}

const carrierHz = z.number().positive().max(1e12).nullable();

/** Files of raw samples, known by how their names end. */
const RawRule = z.strictObject({
  ending: z
    .string()
    .max(40)
    .regex(/^\.[^/\\]+$/, "an ending such as .cu8")
    .refine((ending) => !TELL_THEMSELVES.has(ending.toLowerCase()), "an ending of files that do not say it themselves"),
  type: z.enum(SAMPLE_TYPES),
  /** `null`: not known. Such files are named and passed over; a rate is never guessed. */
  rateHz: z.number().min(RATE_RANGE_HZ[0]).max(RATE_RANGE_HZ[1]).nullable().default(null),
  carrierHz: carrierHz.default(null),
});
export type RawRule = z.infer<typeof RawRule>;

const TELL_THEMSELVES = new Set([
  ".sigmf-meta",
  ".sigmf-data",
  ".sigmf",
  ".sigmf-collection",
  ".wav",
  ".wave",
  ".rf64",
  ".bw64",
  ".ndjson",
]);

const sha256 = z.string().regex(/^[0-9a-f]{64}$/, "a SHA-256 in lower-case hex");

/** What a settings file may say. Every key may be left out; a key that is not known is refused. */
const SettingsFile = z.strictObject({
  kind: z.literal("wheelgram study settings").default("wheelgram study settings"),
  /** Of this shape. */
  version: z.literal(1).default(1),
  /** Of the program that froze it. */
  toolVersion: z.string().max(100).optional(),
  title: z.string().min(1).max(200).optional(),
  /** Whether folders inside folders are walked. */
  subfolders: z.boolean().default(true),
  /** Centre frequency of recordings that do not tell theirs; `null`: carriers are then told from the centre. */
  carrierHz: carrierHz.default(null),
  raw: z
    .array(RawRule)
    .max(100)
    .refine(
      (rules) => new Set(rules.map(({ ending }) => ending.toLowerCase())).size === rules.length,
      "each ending once",
    )
    .default([]),
  /** Which of the layouts at hand are tried; all of them where it is left out. */
  layouts: z
    .array(
      z.strictObject({
        id: z.string().min(1).max(200),
        version: z.int().min(1).nullable().default(null),
        sha256: sha256.optional(),
      }),
    )
    .min(1)
    .max(10_000)
    .refine((list) => new Set(list.map(({ id }) => id)).size === list.length, "each id once")
    .optional(),
});
export type SettingsFile = z.infer<typeof SettingsFile>;

/** The settings of a study as they lie in its folder: nothing is left to a default. */
const StudySettings = SettingsFile.required({ toolVersion: true, title: true }).extend({
  layouts: z.array(z.strictObject({ id: z.string(), version: z.int().nullable(), sha256 })),
});
export type StudySettings = z.infer<typeof StudySettings>;

/** A layout at hand. */
export interface LayoutAtHand {
  readonly layout: Layout;
  /** Of the shelf; `null` where it has none. */
  readonly version: number | null;
}

/** What the bytes of a settings file say, with the defaults for what they leave out. @param file For the complaint. */
export function parseSettings(file: string, bytes: Uint8Array): Result<SettingsFile, InputError> {
  return parseAs(SettingsFile, file, bytes);
}

/** The settings in a study's own folder. */
export function parseFrozen(file: string, bytes: Uint8Array): Result<StudySettings, InputError> {
  return parseAs(StudySettings, file, bytes);
}

/**
 * Settings with nothing left open, and the layouts that they name.
 *
 * @param file For the complaint where a layout is not at hand, or is not what it was.
 */
export function freezeSettings(
  given: SettingsFile,
  atHand: readonly LayoutAtHand[],
  o: { readonly file: string; readonly title: string; readonly toolVersion: string },
): Result<{ readonly settings: StudySettings; readonly layouts: readonly Layout[] }, InputError> {
  const chosen: LayoutAtHand[] = [];
  for (const [i, wanted] of (given.layouts ?? []).entries()) {
    const found = atHand.find(({ layout }) => layout.id === wanted.id);
    const key = `layouts[${i}]`;
    if (!found) {
      const ids = atHand.map(({ layout }) => JSON.stringify(layout.id)).join(", ");
      return fail(new InputError(o.file, `${key}.id`, JSON.stringify(wanted.id), `${ids || "none"}; add its file`));
    }
    if (wanted.sha256 !== undefined && wanted.sha256 !== layoutHash(found.layout)) {
      const allowed = `${layoutHash(found.layout)}, what ${wanted.id} is now; without this key it is taken as it is now`;
      return fail(new InputError(o.file, `${key}.sha256`, wanted.sha256, allowed));
    }
    chosen.push(found);
  }
  const used = given.layouts === undefined ? atHand : chosen;
  const settings: StudySettings = {
    kind: given.kind,
    version: given.version,
    toolVersion: o.toolVersion,
    title: given.title ?? o.title,
    subfolders: given.subfolders,
    carrierHz: given.carrierHz,
    raw: given.raw,
    layouts: used.map(({ layout, version }) => ({ id: layout.id, version, sha256: layoutHash(layout) })),
  };
  return succeed({ settings, layouts: used.map(({ layout }) => layout) });
}

function parseAs<T>(shape: z.ZodType<T>, file: string, bytes: Uint8Array): Result<T, InputError> {
  const json = readJson(bytes);
  if (!json.ok) return fail(new InputError(file, `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  const parsed = shape.safeParse(json.value);
  if (!parsed.success) return fail(firstComplaint(file, complaintsOf(parsed.error, json.value)));
  return succeed(parsed.data);
}
