import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { nanosecondsOf } from "../../server/receivers/timeOfDay.ts";

// The rules of the SigMF specification 1.2.5 in its own words and not only those of its JSON schema, which lets pass
// what the text forbids. Written from the text, for judging what we write; the reader has its own, more lenient checks.

type Json = Record<string, unknown>;
type Rule = (value: unknown) => boolean;

/** Every breach in a recording: its metadata and its dataset on disk. Empty for a recording that conforms. */
export function recordingFaults(metaPath: string): string[] {
  if (!metaPath.endsWith(".sigmf-meta")) return ["a metadata file must end in .sigmf-meta"];
  const bytes = readFileSync(metaPath);
  let meta: unknown;
  try {
    meta = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  } catch (error) {
    return [`metadata must be JSON in UTF-8: ${String(error)}`];
  }
  const faults = metadataFaults(meta);
  const global = objectAt(meta, "global");
  if (global["core:metadata_only"] === true) return faults;
  const named = global["core:dataset"];
  const base = basename(metaPath).slice(0, -".sigmf-meta".length);
  const dataName = typeof named === "string" ? named : `${base}.sigmf-data`;
  const files = readdirSync(dirname(metaPath));
  if (!files.includes(dataName)) return [...faults, `the dataset ${dataName} must stand beside the metadata`];
  return [...faults, ...datasetFaults(meta, join(dirname(metaPath), dataName))];
}

/** Every breach in metadata alone. */
export function metadataFaults(meta: unknown): string[] {
  if (!isObject(meta)) return ["metadata must be one object"];
  const faults: string[] = [];
  if (!isObject(meta["global"])) faults.push("global must be an object");
  for (const name of ["captures", "annotations"]) {
    if (!Array.isArray(meta[name])) faults.push(`${name} must be an array`);
    else if (!meta[name].every(isObject)) faults.push(`${name} must hold objects`);
  }
  for (const key of Object.keys(meta)) {
    if (!["global", "captures", "annotations"].includes(key) && !isObject(meta[key]))
      faults.push(`${key} must be an object`);
  }
  if (faults.length > 0) return faults;
  const global = objectAt(meta, "global");
  const captures = listAt(meta, "captures");
  const annotations = listAt(meta, "annotations");
  return [
    ...keyFaults("global", global, GLOBAL, global),
    ...captures.flatMap((capture, i) => keyFaults(`captures[${i}]`, capture, CAPTURE, global)),
    ...annotations.flatMap((annotation, i) => keyFaults(`annotations[${i}]`, annotation, ANNOTATION, global)),
    ...missing("global", global, ["core:datatype", "core:version"]),
    ...captures.flatMap((capture, i) => missing(`captures[${i}]`, capture, ["core:sample_start"])),
    ...annotations.flatMap((annotation, i) => missing(`annotations[${i}]`, annotation, ["core:sample_start"])),
    ...orderFaults("captures", captures, global),
    ...orderFaults("annotations", annotations, global),
    ...nonConformingFaults(global, captures),
    ...annotations.flatMap((annotation, i) => edgeFaults(`annotations[${i}]`, annotation, captures, global)),
  ];
}

/** Every breach in a collection file's object; `folder` is where its recordings lie. */
export function collectionFaults(json: unknown, folder: string): string[] {
  if (!isObject(json) || !isObject(json["collection"])) return ["a collection must be one object, collection"];
  const collection = json["collection"];
  const faults = [
    ...keyFaults("collection", collection, COLLECTION, collection),
    ...missing("collection", collection, ["core:version"]),
  ];
  const streams = collection["core:streams"];
  for (const [i, stream] of (Array.isArray(streams) ? streams : []).entries()) {
    const [name, hash]: unknown[] = Array.isArray(stream)
      ? stream
      : isObject(stream)
        ? [stream["name"], stream["hash"]]
        : [];
    if (typeof name !== "string" || typeof hash !== "string") faults.push(`core:streams[${i}] must have name and hash`);
    else if (sha512(readFileSync(join(folder, `${name}.sigmf-meta`))) !== hash.toLowerCase()) {
      faults.push(`core:streams[${i}].hash must be that of the metadata file`);
    }
  }
  return faults;
}

/** Every breach in the names that an archive holds. What it holds must obey the other rules once extracted. */
export function archiveFaults(path: string, names: readonly string[]): string[] {
  const faults: string[] = [];
  if (!path.endsWith(".sigmf")) faults.push("an archive must end in .sigmf");
  const metas = names.filter((name) => name.endsWith(".sigmf-meta"));
  if (metas.length === 0) faults.push("an archive must hold a recording");
  const collections = names.filter((name) => name.endsWith(".sigmf-collection"));
  if (collections.length > 1) faults.push("an archive may hold one collection");
  if (collections.some((name) => name.replace(/^\.\//, "").includes("/")))
    faults.push("a collection must lie at the top");
  return faults;
}

/** Bytes of a sample instant of all channels, for every type that there is. */
export function instantBytes(datatype: string, channels: number): number {
  const width = Number(/\d+/.exec(datatype)?.[0] ?? 0) / 8;
  return width * (datatype.startsWith("c") ? 2 : 1) * channels;
}

const text: Rule = (value) => typeof value === "string";
const whole: Rule = (value) => typeof value === "number" && Number.isInteger(value);
const index: Rule = (value) => whole(value) && Number(value) >= 0 && Number(value) < 2 ** 63;
const within =
  (least: number, most: number): Rule =>
  (value) =>
    typeof value === "number" && value >= least && value <= most;
const like =
  (pattern: RegExp): Rule =>
  (value) =>
    typeof value === "string" && pattern.test(value);

const version = like(/^\d+\.\d+\.\d+$/);
const hash = like(/^[0-9a-fA-F]{128}$/);
const doi = like(/^10\.\d{4,9}\/\S+$/);
const url = like(/^[A-Za-z][A-Za-z0-9+.-]*:\S+$/);
const datatype = like(/^[rc]((f32|f64|i32|i16|u32|u16)_(le|be)|i8|u8)$/);
const fileName: Rule = (value) => typeof value === "string" && !/[/\\]/.test(value) && value !== "";
const time: Rule = (value) => typeof value === "string" && nanosecondsOf(value) !== undefined;
const uuid = like(/^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[1-5][0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}$/);

const point: Rule = (value) => {
  if (!isObject(value) || value["type"] !== "Point" || "geometry" in value || "properties" in value) return false;
  const place = value["coordinates"];
  if (!Array.isArray(place) || place.length < 2 || place.length > 3) return false;
  return place.every(Number.isFinite) && Math.abs(place[0]) <= 180 && Math.abs(place[1]) <= 90;
};

const extensions: Rule = (value) =>
  Array.isArray(value) &&
  value.every(
    (entry) =>
      isObject(entry) &&
      Object.keys(entry).length === 3 &&
      typeof entry["name"] === "string" &&
      typeof entry["version"] === "string" &&
      typeof entry["optional"] === "boolean",
  );

const GLOBAL: Readonly<Record<string, Rule>> = {
  "core:datatype": datatype,
  "core:version": version,
  "core:sample_rate": within(1, 1e12),
  "core:num_channels": (value) => whole(value) && Number(value) >= 1,
  "core:offset": index,
  "core:sha512": hash,
  "core:hw": text,
  "core:recorder": text,
  "core:author": text,
  "core:description": text,
  "core:license": url,
  "core:meta_doi": doi,
  "core:data_doi": doi,
  "core:dataset": fileName,
  "core:trailing_bytes": index,
  "core:metadata_only": (value) => typeof value === "boolean",
  "core:collection": fileName,
  "core:geolocation": point,
  "core:extensions": extensions,
};

const CAPTURE: Readonly<Record<string, Rule>> = {
  "core:sample_start": index,
  "core:frequency": within(-1e12, 1e12),
  "core:datetime": time,
  "core:global_index": index,
  "core:header_bytes": index,
  "core:geolocation": point,
};

const ANNOTATION: Readonly<Record<string, Rule>> = {
  "core:sample_start": index,
  "core:sample_count": index,
  "core:freq_lower_edge": within(-1e12, 1e12),
  "core:freq_upper_edge": within(-1e12, 1e12),
  // The specification recommends 20 characters, we hold ourselves to it.
  "core:label": (value) => typeof value === "string" && [...value].length <= 20,
  "core:comment": text,
  "core:generator": text,
  "core:uuid": uuid,
};

const COLLECTION: Readonly<Record<string, Rule>> = {
  "core:version": version,
  "core:description": text,
  "core:author": text,
  "core:collection_doi": doi,
  "core:license": url,
  "core:extensions": extensions,
  "core:streams": Array.isArray,
};

/** Core keys by their rule; any other only from an extension that is listed, and well formed. */
function keyFaults(where: string, object: Json, rules: Readonly<Record<string, Rule>>, global: Json): string[] {
  const list = global["core:extensions"];
  const listed = (Array.isArray(list) ? list : []).map((entry) => (isObject(entry) ? entry["name"] : undefined));
  return Object.entries(object).flatMap(([key, value]) => {
    const rule = Object.hasOwn(rules, key) ? rules[key] : undefined;
    if (rule) return rule(value) ? [] : [`${where}.${key} must not be ${JSON.stringify(value)}`];
    const [namespace = "", name = ""] = key.split(":");
    if (!/^\w+:\w+$/.test(key) || !isName(namespace) || !isName(name))
      return [`${where}.${key} must be namespace:name`];
    if (namespace === "core") return [`${where}.${key} must not be added to core`];
    return listed.includes(namespace) ? [] : [`${where}.${key} must be of an extension in core:extensions`];
  });
}

function missing(where: string, object: Json, keys: readonly string[]): string[] {
  return keys.filter((key) => !Object.hasOwn(object, key)).map((key) => `${where}.${key} must be there`);
}

function orderFaults(name: string, entries: readonly Json[], global: Json): string[] {
  const starts = entries.map((entry) => Number(entry["core:sample_start"]));
  const offset = Number(global["core:offset"] ?? 0);
  return starts.flatMap((start, i) => [
    ...(start < (starts[i - 1] ?? start) ? [`${name}[${i}] must not start before ${name}[${i - 1}]`] : []),
    ...(start < offset ? [`${name}[${i}] must not start before core:offset`] : []),
  ]);
}

function nonConformingFaults(global: Json, captures: readonly Json[]): string[] {
  const named = global["core:dataset"];
  const faults: string[] = [];
  if (typeof named === "string" && named.endsWith(".sigmf-data"))
    faults.push("core:dataset must not end in .sigmf-data");
  if (named !== undefined && global["core:metadata_only"] === true)
    faults.push("core:metadata_only excludes core:dataset");
  if (named !== undefined) return faults;
  if ("core:trailing_bytes" in global) faults.push("core:trailing_bytes needs core:dataset");
  if (captures.some((capture) => "core:header_bytes" in capture)) faults.push("core:header_bytes needs core:dataset");
  return faults;
}

function edgeFaults(where: string, annotation: Json, captures: readonly Json[], global: Json): string[] {
  const lower = annotation["core:freq_lower_edge"];
  const upper = annotation["core:freq_upper_edge"];
  if ((lower === undefined) !== (upper === undefined)) return [`${where} must have both frequency edges or neither`];
  if (lower === undefined) return [];
  if (Number(lower) > Number(upper)) return [`${where} must have its lower edge below its upper`];
  const start = Number(annotation["core:sample_start"]);
  const capture = captures.findLast((one) => Number(one["core:sample_start"]) <= start);
  const centre = Number(capture?.["core:frequency"] ?? 0);
  const rate = Number(global["core:sample_rate"] ?? Number.POSITIVE_INFINITY);
  const middle = (Number(lower) + Number(upper)) / 2;
  return Math.abs(middle - centre) <= rate ? [] : [`${where} must have its edges where its capture is tuned`];
}

function datasetFaults(meta: unknown, dataPath: string): string[] {
  const global = objectAt(meta, "global");
  const captures = listAt(meta, "captures");
  const faults: string[] = [];
  const size = statSync(dataPath).size;
  const headers = captures.reduce((sum, capture) => sum + Number(capture["core:header_bytes"] ?? 0), 0);
  const bytes = instantBytes(String(global["core:datatype"]), Number(global["core:num_channels"] ?? 1));
  const samples = (size - headers - Number(global["core:trailing_bytes"] ?? 0)) / bytes;
  if (!Number.isInteger(samples)) faults.push("the dataset must hold nothing but whole samples");
  const stated = global["core:sha512"];
  if (typeof stated === "string" && stated.toLowerCase() !== sha512(readFileSync(dataPath))) {
    faults.push("core:sha512 must be the hash of the dataset");
  }
  const end = Number(global["core:offset"] ?? 0) + samples;
  for (const [i, annotation] of listAt(meta, "annotations").entries()) {
    const to = Number(annotation["core:sample_start"]) + Number(annotation["core:sample_count"] ?? 0);
    if (to > end) faults.push(`annotations[${i}] must end inside the dataset`);
  }
  return faults;
}

function isName(word: string): boolean {
  return /^[A-Za-z_]\w*$/.test(word) && !KEYWORDS.has(word);
}

function sha512(bytes: Uint8Array): string {
  return createHash("sha512").update(bytes).digest("hex");
}

function isObject(value: unknown): value is Json {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function objectAt(value: unknown, key: string): Json {
  const inner = isObject(value) ? value[key] : undefined;
  return isObject(inner) ? inner : {};
}

function listAt(value: unknown, key: string): Json[] {
  const inner = isObject(value) ? value[key] : undefined;
  return Array.isArray(inner) ? inner.filter(isObject) : [];
}

/** @source ISO/IEC 14882:2020, [lex.key] and [lex.digraph]; The Python Language Reference 3.10, section 2.3.1. */
const KEYWORDS = new Set(
  `alignas alignof asm auto bool break case catch char char8_t char16_t char32_t class concept const consteval
  constexpr constinit const_cast continue co_await co_return co_yield decltype default delete do double dynamic_cast
  else enum explicit export extern false float for friend goto if inline int long mutable namespace new noexcept nullptr
  operator private protected public register reinterpret_cast requires return short signed sizeof static static_assert
  static_cast struct switch template this thread_local throw true try typedef typeid typename union unsigned using
  virtual void volatile wchar_t while and and_eq bitand bitor compl not not_eq or or_eq xor xor_eq
  False None True as assert async await def del elif except finally from global import in is lambda nonlocal pass
  raise with yield`.split(/\s+/),
);
