import { isBuiltin } from "node:module";
import { posix } from "node:path";
import { type ImportLine, importLines } from "./import-lines.ts";
import { type Row, table } from "./layer-table.ts";

/** The row that holds for a file, if any. */
export function rowOf(file: string): Row | undefined {
  return table.find((row) => within(file, row.files));
}

/**
 * What a file imports against the table, one line a fault.
 *
 * @param file From the top of the clone, with forward slashes.
 */
export function layerFaults(file: string, text: string): string[] {
  const row = rowOf(file);
  if (!row) return [`${file}: no row of the table holds for it`];
  return importLines(file, text)
    .filter((line) => !allowed(row, file, line))
    .map(({ line, target }) => `${file}:${line}: may not import ${target ?? "a name that is computed"}`);
}

function allowed(row: Row, file: string, { target, typeOnly }: ImportLine): boolean {
  if (target === undefined) return row.packages === "any" && row.may.includes("");
  if (isBuiltin(target)) return row.node;
  const own = ownPath(file, target);
  if (own === undefined) {
    const name = packageName(target);
    return row.packages === "any" || row.packages.includes(name) || (typeOnly && includes(row.packageTypes, name));
  }
  if (within(own, row.not ?? [])) return false;
  return within(own, row.may) || (typeOnly && within(own, row.types ?? []));
}

/** From the top of the clone, or `undefined` for a package. Our own packages by name are our own files. */
function ownPath(file: string, target: string): string | undefined {
  const path = target.replace(/[?#].*$/, "");
  if (/^\.{0,2}\//.test(path))
    return posix.normalize(posix.join(path.startsWith("/") ? "" : posix.dirname(file), path));
  if (path.startsWith("@wheelgram/decoders")) return path.replace("@wheelgram/", "").replace(/^decoders$/, "decoders/");
  return path === "wheelgram" || path.startsWith("wheelgram/") ? "dist/" : undefined;
}

function packageName(target: string): string {
  return target.split("/", target.startsWith("@") ? 2 : 1).join("/");
}

function within(path: string, places: readonly string[]): boolean {
  return places.some((place) => path === place || ((place === "" || place.endsWith("/")) && path.startsWith(place)));
}

function includes(list: readonly string[] | undefined, name: string): boolean {
  return list?.includes(name) ?? false;
}
