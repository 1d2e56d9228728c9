/** Who may import whom. The first row whose `files` fit a file holds for it; what a row does not name is refused. */
export interface Row {
  /** Folders, ending in a slash, or single files, all from the top of the clone. */
  readonly files: readonly string[];
  /** Our own folders and files that may be imported. */
  readonly may: readonly string[];
  /** Exceptions from `may`. */
  readonly not?: readonly string[];
  /** Our own folders of which only types may be imported. */
  readonly types?: readonly string[];
  /** Packages from node_modules. */
  readonly packages: "any" | readonly string[];
  /** Packages of which only types may be imported. */
  readonly packageTypes?: readonly string[];
  /** Whether Node's own modules may be imported. */
  readonly node: boolean;
}

const data = ["server/store/", "decoders/"];
const devices = ["server/recordings/", "server/receivers/"];
const domain = ["server/jobs/", "server/bench/", "server/class/"];
const pure = { packages: [], node: false };
const open = { packages: "any", node: true } as const;

export const table: readonly Row[] = [
  { files: ["decoders/layouts/schema.ts"], may: ["decoders/layouts/"], packages: ["zod"], node: false },
  {
    files: ["decoders/layouts/complaint.ts"],
    may: ["decoders/layouts/"],
    packages: [],
    packageTypes: ["zod"],
    node: false,
  },
  // The layouts know nothing of the decoding, or the seeds that share them would share it too.
  { files: ["decoders/layouts/"], may: ["decoders/layouts/"], ...pure },
  { files: ["decoders/"], may: ["decoders/"], ...pure },

  { files: ["server/store/"], may: ["server/store/"], types: ["decoders/"], ...open },
  { files: ["server/recordings/"], may: [...devices, ...data], ...open },
  { files: ["server/receivers/"], may: [...devices, "server/work/", ...data], ...open },
  // A thread decodes what it is handed, and files by their names; it knows neither receivers nor the store.
  {
    files: ["server/work/"],
    may: ["server/work/", "server/recordings/", "server/receivers/lineFile.ts", "decoders/"],
    ...open,
  },
  { files: domain, may: [...domain, ...data], ...open },
  {
    files: ["server/study/"],
    may: [
      "server/study/",
      ...devices,
      "server/work/",
      "server/report/",
      // One process at a time has a study, by the lock that a data folder has.
      "server/store/folderLock.ts",
      "server/store/storeError.ts",
      // The interval of a share.
      "server/bench/statistics/proportion.ts",
      "decoders/",
    ],
    ...open,
  },
  // What distributes: it hands the work of those folders to other machines.
  {
    files: ["server/fleet/"],
    may: ["server/fleet/", "server/study/", ...devices, "server/work/", "server/report/", ...data],
    ...open,
  },
  { files: ["server/report/"], may: ["server/report/", "decoders/"], types: domain, ...pure },
  { files: ["server/http/"], may: ["server/", "decoders/", "seeds/"], not: ["server/cli/"], ...open },
  // The command says its version, which package.json holds.
  { files: ["server/cli/"], may: ["server/", "decoders/", "seeds/", "package.json"], ...open },
  // What installs, builds and starts the rest: it runs before there is a package or a bundle.
  {
    files: ["server/start.mjs", "server/first-run.mjs", "server/install.mjs", "server/prepare.mjs", "server/build.mjs"],
    may: ["server/first-run.mjs", "server/install.mjs", "server/prepare.mjs", "server/bundle.mjs", "dist/wheelgram.js"],
    packages: [],
    node: true,
  },
  // Reads the lock file alone.
  { files: ["server/billOfMaterials.mjs", "server/billOfMaterials.d.mts"], may: [], packages: [], node: true },
  { files: ["server/bundle.mjs"], may: ["server/install.mjs", "server/kernels.mjs"], packages: ["vite"], node: true },
  {
    files: ["server/kernels.mjs", "server/kernels.d.mts"],
    may: ["server/install.mjs"],
    packages: ["assemblyscript"],
    node: true,
  },
  // Run by hand when a face changes; what it made lies in web/fonts.
  {
    files: ["server/fonts.mjs", "server/fonts.d.mts"],
    may: ["server/install.mjs"],
    packages: [
      "fontkit",
      "subset-font",
      "@expo-google-fonts/atkinson-hyperlegible-next",
      "@expo-google-fonts/atkinson-hyperlegible-mono",
      "dejavu-fonts-ttf",
    ],
    node: true,
  },

  {
    files: ["web/model/"],
    may: ["web/model/", "decoders/", "server/http/wire.ts", "server/http/wire/"],
    packages: "any",
    node: false,
  },
  {
    files: ["web/"],
    may: ["web/", "decoders/", "server/http/wire.ts", "server/http/wire/"],
    packages: "any",
    node: false,
  },

  // The modulator shares the layouts, but takes its own road from bits to symbols.
  { files: ["seeds/"], may: ["seeds/", "decoders/layouts/"], not: ["decoders/layouts/whitening.ts"], ...open },

  // Published values are checked without our own modulator, which might share a mistake with the decoders.
  { files: ["tests/standards/"], may: ["tests/", "decoders/", "server/", "web/"], ...open },
  { files: ["tests/"], may: [""], ...open },
  {
    files: [
      "playwright.config.ts",
      "vite.cli.config.ts",
      "vite.decoders.config.ts",
      "vite.web.config.ts",
      "vitest.config.ts",
    ],
    may: [],
    ...open,
  },
];
