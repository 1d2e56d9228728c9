import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { runtimePackages } from "../../server/billOfMaterials.mjs";

/** Licences that ask for no more than their own text to be passed on. @source SPDX licence list, identifiers. */
const PERMISSIVE = new Set([
  "MIT",
  "ISC",
  "BSD-2-Clause",
  "BSD-3-Clause",
  "0BSD",
  "Apache-2.0",
  "BSL-1.0",
  "Unlicense",
]);

it("every package that the server runs with is permissively licensed, or lets one choose such a licence", () => {
  const packages = runtimePackages();
  const choices = (licence: string) => licence.replace(/[()]/g, "").split(" OR ");
  // Of several at once every one has to be kept.
  const permissive = (licence: string) => licence.split(" AND ").every((one) => PERMISSIVE.has(one));
  const others = packages.filter(({ licence }) => !choices(licence).some(permissive));
  expect(others).toEqual([]);
  const { dependencies } = JSON.parse(readFileSync(join(import.meta.dirname, "../../package.json"), "utf8"));
  const names = new Set(packages.map(({ name }) => name));
  expect(Object.keys(dependencies).filter((name) => !names.has(name))).toEqual([]);
});
