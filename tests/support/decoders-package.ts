import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const top = fileURLToPath(new URL("../..", import.meta.url));

export interface Packed {
  readonly file: string;
  /** What it holds, by path, in order. */
  readonly paths: readonly string[];
}

/** Packs a package as `npm publish` would. @param folder Where its package.json is. @param into Where the file goes. */
export function packInto(folder: string, into: string): Packed {
  const said = npm(["pack", "--json", "--ignore-scripts", "--pack-destination", into], folder);
  const [{ filename, files }]: [{ filename: string; files: { path: string }[] }] = JSON.parse(said);
  return { file: join(into, filename), paths: files.map(({ path }) => path).toSorted() };
}

/**
 * A stranger's project in an empty folder: the packed decoders installed by npm without a network, with the zod that we
 * have, and the examples of their README as files beside a recording.
 */
export function strangersProject(folder: string): void {
  const packs = ["decoders", "node_modules/zod"].map((name) => packInto(join(top, name), folder).file);
  writeFileSync(join(folder, "package.json"), JSON.stringify({ name: "stranger", private: true, type: "module" }));
  npm(["install", "--offline", "--no-audit", "--no-fund", "--ignore-scripts", ...packs], folder);
  for (const [name, text] of readmeExamples()) writeFileSync(join(folder, name), text);
  cpSync(join(top, "samples", "sound-car.sigmf-data"), join(folder, "bay.sigmf-data"));
}

/** The code blocks of decoders/README.md by the file name in their first line. */
export function readmeExamples(): Map<string, string> {
  const readme = readFileSync(join(top, "decoders", "README.md"), "utf8");
  const blocks = [...readme.matchAll(/^```ts\n\/\/ (\S+\.ts)\n([\s\S]*?)^```/gm)];
  return new Map(blocks.map(([, name = "", text = ""]) => [name, text]));
}

/**
 * Compiles a stranger's files as strictly as a stranger may, also looking into the declarations that they import.
 *
 * @param how Whose rules of finding modules apply; what comes out lies in a folder of that name.
 * @throws Error with all that the compiler said.
 */
export function compileAsStranger(folder: string, files: readonly string[], how: "nodenext" | "bundler"): string {
  const options = {
    strict: true,
    exactOptionalPropertyTypes: true,
    skipLibCheck: false,
    target: "es2023",
    module: how === "nodenext" ? "nodenext" : "esnext",
    moduleResolution: how,
    lib: how === "nodenext" ? ["es2023"] : ["es2023", "dom"],
    types: how === "nodenext" ? [join(top, "node_modules", "@types", "node")] : [],
    rootDir: ".",
    outDir: how,
  };
  const config = join(folder, `tsconfig.${how}.json`);
  writeFileSync(config, JSON.stringify({ compilerOptions: options, files }));
  mkdirSync(join(folder, how), { recursive: true });
  try {
    execFileSync(process.execPath, [join(top, "node_modules/typescript/bin/tsc"), "-p", config], { encoding: "utf8" });
  } catch (error) {
    throw new Error(error instanceof Error && "stdout" in error ? String(error.stdout) : String(error));
  }
  return join(folder, how);
}

function npm(args: readonly string[], cwd: string): string {
  const command = process.platform === "win32" ? "npm.cmd" : "npm";
  return execFileSync(command, args, { cwd, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
}
