import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const made: string[] = [];

/** A new empty folder, gone when the tests of this file are over. @param name What its name begins with. */
export function temporaryFolder(name: string): string {
  const folder = mkdtempSync(join(tmpdir(), `${name}-`));
  made.push(folder);
  return folder;
}

/** Called once after the tests of each file. */
export function removeTemporaryFolders(): void {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true, maxRetries: 3 });
}
