import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join, relative } from "node:path";
import { expect, it } from "vitest";
import { removeTemporaryFolders, temporaryFolder } from "../support/folder.ts";

const tests = join(import.meta.dirname, "..");

it("folders that tests make are taken away with all that is in them", () => {
  const folder = temporaryFolder("folders");
  mkdirSync(join(folder, "inside"));
  writeFileSync(join(folder, "inside", "file"), "text");
  removeTemporaryFolders();
  expect(existsSync(folder)).toBe(false);
});

it("tests make their folders there, where they are taken away", () => {
  const own = ["unit", "standards", "integration", "support"].flatMap((folder) =>
    readdirSync(join(tests, folder), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map(({ parentPath, name }) => relative(tests, join(parentPath, name)))
      .filter((file) => readFileSync(join(tests, file), "utf8").includes(`tmp${"dir()"}`)),
  );
  expect(own).toEqual(["support/folder.ts"]);
});
