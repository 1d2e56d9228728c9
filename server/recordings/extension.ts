import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

/** Our own SigMF extension, as `core:extensions` names it. What its keys mean stands in `EXTENSION_FILE`. */
export const EXTENSION = { name: "wheelgram", version: "1.0.0", optional: true } as const;

/** The file that documents it, as the standard asks for. */
export const EXTENSION_FILE = "wheelgram.sigmf-ext.md";

type Json = Readonly<Record<string, unknown>>;

/** `global` with our extension among its own where one of our keys is in it or in an annotation. */
export function withExtension(global: Json, annotations: readonly object[]): Json {
  const isUsed = [global, ...annotations].some((object) =>
    Object.keys(object).some((key) => key.startsWith(`${EXTENSION.name}:`)),
  );
  return isUsed ? withExtensions(global, [EXTENSION]) : global;
}

/** `global` with extensions added that it does not name yet. */
export function withExtensions(global: Json, extensions: readonly { readonly name: string }[]): Json {
  const named = global["core:extensions"];
  const old: readonly unknown[] = Array.isArray(named) ? named : [];
  const has = (name: string) =>
    old.some((entry) => typeof entry === "object" && entry !== null && "name" in entry && entry.name === name);
  const added = extensions.filter(({ name }) => !has(name));
  return added.length === 0 ? global : { ...global, "core:extensions": [...old, ...added] };
}

/** The text of `EXTENSION_FILE`. It lies beside this file, from which the bundle in dist/ is one folder away. */
export function extensionText(): string {
  const here = dirname(fileURLToPath(import.meta.url));
  const beside = join(here, EXTENSION_FILE);
  return readFileSync(existsSync(beside) ? beside : join(here, "..", "server", "recordings", EXTENSION_FILE), "utf8");
}
