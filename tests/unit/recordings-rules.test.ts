import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { temporaryFolder } from "../support/folder.ts";
import {
  archiveFaults,
  collectionFaults,
  instantBytes,
  metadataFaults,
  recordingFaults,
} from "../support/sigmf-rules.ts";

const full = () => ({
  global: {
    "core:datatype": "cu8",
    "core:version": "1.2.5",
    "core:sample_rate": 250000,
    "core:extensions": [{ name: "bench", version: "0.1.0", optional: true }],
  },
  captures: [
    { "core:sample_start": 0, "core:frequency": 433920000, "core:datetime": "2025-01-02T03:04:05.123456789Z" },
  ],
  annotations: [
    {
      "core:sample_start": 100,
      "core:sample_count": 2500,
      "core:freq_lower_edge": 433870000,
      "core:freq_upper_edge": 433970000,
      "core:label": "frame",
      "core:uuid": "3fa85f64-5717-4562-b3fc-2c963f66afa6",
      "bench:snr_db": 12.5,
    },
  ],
});

describe("metadata that conform", () => {
  it("the least there can be", () => {
    const least = { global: { "core:datatype": "cu8", "core:version": "1.2.5" }, captures: [], annotations: [] };
    expect(metadataFaults(least)).toEqual([]);
  });

  it("a fuller example", () => {
    expect(metadataFaults(full())).toEqual([]);
  });

  it("a top-level object of an extension, which the published schema refuses", () => {
    expect(metadataFaults({ ...full(), bench: { tool: "left" } })).toEqual([]);
  });

  const types = ["f32", "f64", "i32", "i16", "u32", "u16"]
    .flatMap((one) => [`${one}_le`, `${one}_be`])
    .concat("i8", "u8");
  it.each(types.flatMap((one) => [`r${one}`, `c${one}`]))("of type %s", (type) => {
    expect(metadataFaults(changed("global.core:datatype", type))).toEqual([]);
  });
});

// What the published JSON schema accepts though the text of the specification forbids it, and what it refuses rightly.
const bad: readonly (readonly [string, string, unknown, string])[] = [
  ["no endianness", "global.core:datatype", "cf32", "core:datatype"],
  ["no endianness", "global.core:datatype", "ci16", "core:datatype"],
  ["endianness of a byte", "global.core:datatype", "cu8_le", "core:datatype"],
  ["something after the type", "global.core:datatype", "cu8x", "core:datatype"],
  ["24 bits", "global.core:datatype", "ci24_le", "core:datatype"],
  ["half floats", "global.core:datatype", "cf16_le", "core:datatype"],
  ["big letters", "global.core:datatype", "CU8", "core:datatype"],
  ["a version with a tail", "global.core:version", "1.2.5-rc1", "core:version"],
  ["no version", "global.core:version", undefined, "core:version"],
  ["no samples a second", "global.core:sample_rate", 0, "core:sample_rate"],
  ["a short hash", "global.core:sha512", "ab".repeat(63), "core:sha512"],
  ["an unknown core key", "global.core:colour", "red", "core:colour"],
  ["a key without a namespace", "global.colour", "red", "colour"],
  ["a key of an extension that is not listed", "global.workshop:bay", 3, "workshop:bay"],
  ["a keyword as a name", "global.bench:class", 3, "bench:class"],
  ["a name that begins with a digit", "global.bench:3dB", 3, "bench:3dB"],
  ["an extension with two fields", "global.core:extensions", [{ name: "bench", version: "1.0.0" }], "core:extensions"],
  [
    "an extension with four",
    "global.core:extensions",
    [{ name: "b", version: "1", optional: true, url: "" }],
    "core:ext",
  ],
  ["a folder in the dataset's name", "global.core:dataset", "raw/a.bin", "core:dataset"],
  ["a dataset that claims to conform", "global.core:dataset", "a.sigmf-data", "core:dataset"],
  ["a trailer without a dataset", "global.core:trailing_bytes", 4, "core:trailing_bytes"],
  ["a header without a dataset", "captures[0].core:header_bytes", 44, "core:header_bytes"],
  ["a fraction of a sample", "captures[0].core:sample_start", 0.5, "core:sample_start"],
  ["a sample before the first", "captures[0].core:sample_start", -1, "core:sample_start"],
  ["no start", "captures[0].core:sample_start", undefined, "core:sample_start"],
  ["a start before the offset", "global.core:offset", 200, "core:offset"],
  ["a zone other than Z", "captures[0].core:datetime", "2025-01-02T03:04:05+01:00", "core:datetime"],
  ["a day that is none", "captures[0].core:datetime", "2025-02-29T03:04:05Z", "core:datetime"],
  ["a place without coordinates", "captures[0].core:geolocation", { type: "Point" }, "core:geolocation"],
  ["one frequency edge", "annotations[0].core:freq_upper_edge", undefined, "both frequency edges"],
  ["edges the wrong way round", "annotations[0].core:freq_upper_edge", 433860000, "lower edge"],
  ["edges at baseband in a tuned capture", "annotations[0].core:freq_lower_edge", -433970000, "tuned"],
  ["a bad uuid", "annotations[0].core:uuid", "3fa85f64", "core:uuid"],
  ["a long label", "annotations[0].core:label", "x".repeat(21), "core:label"],
  ["no annotations", "annotations", undefined, "annotations"],
  ["captures that are no list", "captures", {}, "captures"],
];

describe("metadata that break a rule", () => {
  it.each(bad)("%s: %s", (_, path, value, named) => {
    const faults = metadataFaults(changed(path, value));
    expect(faults.join("\n")).toContain(named);
  });

  it.each(["captures", "annotations"] as const)("%s that do not ascend", (list) => {
    const meta = full();
    const later = { "core:sample_start": 900, "core:frequency": 433920000 };
    expect(metadataFaults({ ...meta, [list]: [later, { ...later, "core:sample_start": 800 }] }).join()).toContain(
      `${list}[1]`,
    );
  });
});

describe("files", () => {
  const folder = temporaryFolder("rules");
  const save = (name: string, meta: unknown, data: Uint8Array) => {
    writeFileSync(join(folder, `${name}.sigmf-meta`), JSON.stringify(meta));
    writeFileSync(join(folder, `${name}.sigmf-data`), data);
    return join(folder, `${name}.sigmf-meta`);
  };
  const least = { global: { "core:datatype": "cu8", "core:version": "1.2.5" }, captures: [], annotations: [] };
  // Four cu8 samples and their published hash.
  const four = Uint8Array.of(0x7f, 0x80, 0xff, 0x80, 0x00, 0x7f, 0x80, 0x00);
  const fourHash =
    "e0bb8f56c756a2a130aa2b4fddcf39331800fa20ba081d680a84338e2e385d3b221cdc67463c24ee35b7511c2e7753ca7449a512ec29c9fd53c0df15210d811d";

  it("a recording whose hash agrees conforms, and one whose hash does not is found out", () => {
    const withHash = (hash: string) => ({ ...least, global: { ...least.global, "core:sha512": hash } });
    expect(recordingFaults(save("good", withHash(fourHash), four))).toEqual([]);
    expect(recordingFaults(save("bad", withHash(fourHash), four.subarray(2)))).toEqual([
      "core:sha512 must be the hash of the dataset",
    ]);
  });

  it("half a sample, an annotation past the end and a missing dataset are found out", () => {
    expect(recordingFaults(save("half", least, four.subarray(1)))).toHaveLength(1);
    const past = { ...least, annotations: [{ "core:sample_start": 3, "core:sample_count": 2 }] };
    expect(recordingFaults(save("past", past, four))).toEqual(["annotations[0] must end inside the dataset"]);
    writeFileSync(join(folder, "alone.sigmf-meta"), JSON.stringify(least));
    expect(recordingFaults(join(folder, "alone.sigmf-meta"))).toHaveLength(1);
  });

  it("a collection must know its metadata by their hash", () => {
    save("one", least, four);
    const collection = (hash: string) => ({
      collection: { "core:version": "1.2.5", "core:streams": [{ name: "one", hash }] },
    });
    expect(collectionFaults(collection("00".repeat(64)), folder)).toEqual([
      "core:streams[0].hash must be that of the metadata file",
    ]);
    expect(collectionFaults({ collection: {} }, folder)).toEqual(["collection.core:version must be there"]);
  });

  it("an archive must hold a recording, and a collection only at its top", () => {
    expect(archiveFaults("a.sigmf", ["a.sigmf-meta", "a.sigmf-data", "all.sigmf-collection"])).toEqual([]);
    expect(archiveFaults("a.tar", ["x/all.sigmf-collection", "b.sigmf-collection"])).toHaveLength(4);
  });

  it("a sample's bytes follow from type and channels", () => {
    expect([
      instantBytes("cu8", 1),
      instantBytes("ci16_le", 1),
      instantBytes("cf64_be", 1),
      instantBytes("ri16_le", 2),
    ]).toEqual([2, 4, 16, 4]);
  });
});

const samples = fileURLToPath(new URL("../../samples/", import.meta.url));
const metas = readdirSync(samples).filter((name) => name.endsWith(".sigmf-meta"));

describe("the samples that come with the house", () => {
  it("each conform", () => {
    expect(metas.map((name) => [name, recordingFaults(join(samples, name))])).toEqual(metas.map((name) => [name, []]));
    expect(metas.length).toBeGreaterThan(0);
  });
});

function changed(path: string, value: unknown): unknown {
  const copy: unknown = full();
  const keys = path.match(/[^.[\]]+/g) ?? [];
  let at: unknown = copy;
  for (const [i, key] of keys.entries()) {
    if (typeof at !== "object" || at === null) throw new RangeError(`no such path: ${path}`);
    const inner: unknown = Reflect.get(at, key);
    if (i < keys.length - 1) at = inner;
    else if (value === undefined) Reflect.deleteProperty(at, key);
    else Reflect.set(at, key, value);
  }
  return copy;
}
