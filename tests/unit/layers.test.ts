import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { importLines } from "../support/import-lines.ts";
import { layerFaults, rowOf } from "../support/layer-faults.ts";
import { table } from "../support/layer-table.ts";

const top = fileURLToPath(new URL("../..", import.meta.url));
const folders = ["decoders", "server", "web", "seeds", "tests"];
const isCode = (name: string) => /\.([cm]?[jt]s|[jt]sx)$/.test(name);
const files = [...readdirSync(top).filter(isCode), ...folders.flatMap(codeFilesIn)];

describe("the files as they are", () => {
  it.each(folders.filter((folder) => codeFilesIn(folder).length > 0))(
    "%s imports only what its rows allow",
    (folder) => {
      const faults = codeFilesIn(folder).flatMap((file) => layerFaults(file, textOf(file)));
      expect(faults).toEqual([]);
    },
  );

  it("the settings at the top import nothing of ours", () => {
    const settings = files.filter((file) => !file.includes("/"));
    expect(settings).toContain("vitest.config.ts");
    expect(settings.flatMap((file) => layerFaults(file, textOf(file)))).toEqual([]);
  });

  it("every row that has files was seen to import something", () => {
    const silent = table.filter((row) => {
      const own = files.filter((file) => rowOf(file) === row);
      return own.length > 0 && own.every((file) => importLines(file, textOf(file)).length === 0);
    });
    expect(silent.map((row) => row.files)).toEqual([]);
    expect(files.flatMap((file) => importLines(file, textOf(file))).length).toBeGreaterThan(50);
  });
});

// Each is a line that someone might write one day, in a file that does not exist: none may get through.
const planted: readonly (readonly [string, string])[] = [
  ["decoders/signal/x.ts", 'import { readFileSync } from "node:fs";'],
  ["decoders/signal/x.ts", 'import { readFileSync } from "fs";'],
  ["decoders/signal/x.ts", 'import type { z } from "zod";'],
  ["decoders/signal/x.ts", 'import { open } from "../../server/recordings/open.ts";'],
  ["decoders/signal/x.ts", 'import type { Job } from "../../server/jobs/job.ts";'],
  ["decoders/signal/x.ts", 'export { modulate } from "../../seeds/modulate.ts";'],
  ["decoders/signal/x.ts", 'export * from "../../seeds/modulate.ts";'],
  ["decoders/signal/x.ts", 'const later = await import("../../seeds/modulate.ts");'],
  ["decoders/signal/x.ts", "const later = await import(`../../seeds/modulate.ts`);"],
  ["decoders/signal/x.ts", 'const later = await import("./" + name);'],
  ["decoders/signal/x.ts", 'let job: import("../../server/jobs/job.ts").Job;'],
  ["decoders/signal/x.ts", 'import old = require("node:fs");'],
  ["decoders/signal/x.ts", 'const fs = require("node:fs");'],
  ["decoders/signal/x.ts", '/// <reference path="../../server/jobs/job.ts" />'],
  ["decoders/layouts/schema.ts", 'import { decode } from "../linecode/nrz.ts";'],
  ["decoders/layouts/complaint.ts", 'import { z } from "zod";'],
  ["decoders/layouts/complaint.ts", 'import { z, type ZodError } from "zod";'],
  ["decoders/layouts/x.ts", 'import { crc } from "../checks/crc.ts";'],
  ["server/store/x.ts", 'import { analyse } from "../../decoders/analyse.ts";'],
  ["server/store/x.ts", 'import { readLine } from "../receivers/line.ts";'],
  ["server/recordings/x.ts", 'import { job } from "../jobs/job.ts";'],
  ["server/receivers/x.ts", 'import { table } from "../report/table.ts";'],
  ["server/recordings/x.ts", 'import { createPool } from "../work/pool.ts";'],
  ["server/work/x.ts", 'import { createHub } from "../receivers/hub.ts";'],
  ["server/jobs/x.ts", 'import { readLine } from "../receivers/line.ts";'],
  ["server/bench/x.ts", 'import { routes } from "../http/routes.ts";'],
  ["server/class/x.ts", 'import { modulate } from "../../seeds/modulate.ts";'],
  ["server/study/x.ts", 'import { openSqliteStore } from "../store/sqlite.ts";'],
  ["server/fleet/x.ts", 'import { openHouse } from "../http/house.ts";'],
  ["server/report/x.ts", 'import { readFileSync } from "node:fs";'],
  ["server/report/x.ts", 'import { job } from "../jobs/job.ts";'],
  ["server/report/x.ts", 'import chart from "d3";'],
  ["server/http/x.ts", 'import { main } from "../cli/main.ts";'],
  ["server/http/x.ts", 'import { page } from "../../web/pages/today.tsx";'],
  ["server/cli/x.ts", 'import { page } from "../../web/pages/today.tsx";'],
  ["server/cli/x.ts", 'import { plant } from "../../tests/support/plant.ts";'],
  ["server/start.mjs", 'import { build } from "vite";'],
  ["server/bundle.mjs", 'import { analyse } from "../decoders/analyse.ts";'],
  ["server/decodersTypes.mjs", 'import { build } from "vite";'],
  ["server/kernels.mjs", 'import { COMPILED } from "../decoders/signal/kernels/compiled.ts";'],
  ["server/billOfMaterials.mjs", 'import { build } from "vite";'],
  ["server/fonts.mjs", 'import { page } from "./http/page.ts";'],
  ["server/new.ts", 'import { join } from "node:path";'],
  ["web/model/x.ts", 'import { Strip } from "../views/strip.tsx";'],
  ["web/model/x.ts", 'import { get } from "../api.ts";'],
  ["web/views/x.tsx", 'import { open } from "../../server/recordings/open.ts";'],
  ["web/views/x.tsx", 'import { readFileSync } from "node:fs";'],
  ["web/pages/x.tsx", 'import type { Row } from "../../server/store/row.ts";'],
  ["web/pages/x.tsx", 'const worker = new Worker(new URL("../../server/cli/main.ts", import.meta.url));'],
  ["web/pages/x.tsx", 'const all = import.meta.glob(["./*.tsx", "../../seeds/*.ts"]);'],
  ["seeds/x.ts", 'import { decode } from "../decoders/linecode/nrz.ts";'],
  ["seeds/x.ts", 'import { analyse } from "@wheelgram/decoders";'],
  ["seeds/x.ts", 'import { whiteningSequence } from "../decoders/layouts/whitening.ts";'],
  ["seeds/x.ts", 'import { open } from "../server/recordings/open.ts";'],
  ["tests/standards/x.test.ts", 'import { modulate } from "../../seeds/modulate.ts";'],
  ["vitest.config.ts", 'import { plant } from "./tests/support/plant.ts";'],
  ["tools/x.ts", 'import { join } from "node:path";'],
];

describe("a planted import is found", () => {
  it.each(planted)("%s: %s", (file, text) => {
    expect(layerFaults(file, `// made up\n${text}\n`)).toHaveLength(1);
  });

  it("in every row of the table but the one that allows all", () => {
    const rows = new Set(planted.map(([file]) => rowOf(file)));
    const untried = table.filter((row) => !rows.has(row) && !row.may.includes(""));
    expect(untried.map((row) => row.files)).toEqual([]);
  });

  it("and what cannot be read is not passed over", () => {
    expect(() => layerFaults("decoders/x.ts", "import { from")).toThrow(SyntaxError);
  });
});

const sound: readonly (readonly [string, string])[] = [
  ["decoders/signal/x.ts", 'import { decode } from "../linecode/nrz.ts";'],
  ["decoders/layouts/complaint.ts", 'import type { z } from "zod";'],
  ["server/store/x.ts", 'import type { Rung } from "../../decoders/records.ts";'],
  ["server/report/x.ts", 'import { type Job, type Sheet } from "../jobs/job.ts";'],
  ["server/http/x.ts", 'import { modulate } from "../../seeds/modulate.ts";'],
  ["web/model/x.ts", 'import { Body } from "../../server/http/wire.ts";'],
  [
    "seeds/x.ts",
    'import { readFileSync } from "node:fs";\nimport type { Layout } from "../decoders/layouts/schema.ts";',
  ],
  ["tests/unit/x.test.ts", 'import { modulate } from "../../seeds/modulate.ts";\nawait import(name);'],
];

describe("a sound import is let through", () => {
  it.each(sound)("%s: %s", (file, text) => {
    expect(layerFaults(file, text)).toEqual([]);
  });
});

function codeFilesIn(folder: string): string[] {
  if (!existsSync(join(top, folder))) return [];
  return readdirSync(join(top, folder), { withFileTypes: true }).flatMap((entry) => {
    const path = `${folder}/${entry.name}`;
    // AssemblyScript is another language; what is compiled of it imports nothing.
    if (["dist", "node_modules", "assembly"].includes(entry.name)) return [];
    if (entry.isDirectory()) return codeFilesIn(path);
    return isCode(entry.name) ? [path] : [];
  });
}

function textOf(file: string): string {
  return readFileSync(join(top, file), "utf8");
}
