import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { buffer } from "node:stream/consumers";
import { pack } from "tar-stream";
import { afterAll, describe, expect, it } from "vitest";
import { readTar } from "../../server/recordings/tar.ts";
import { temporaryFolder } from "../support/folder.ts";

type Member = Parameters<ReturnType<typeof pack>["entry"]>[0];

const folder = temporaryFolder("members");
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function read(members: readonly Member[]) {
  const tar = pack();
  // The writer notes in a header what it made of it.
  for (const member of members) tar.entry({ ...member }, member.type === undefined ? "x" : "");
  tar.finalize();
  const bytes = await buffer(tar);
  const path = join(folder, "bay.sigmf");
  writeFileSync(path, bytes);
  return readTar(path, bytes.length, () => false);
}

const refused: readonly (readonly [string, Member, RegExp])[] = [
  ["a link", { name: "bay/x", type: "symlink", linkname: "/etc/passwd" }, /bay\/x, a link, allowed files/],
  ["a hard link", { name: "bay/x", type: "link", linkname: "bay/y" }, /bay\/x, a link/],
  ["a name from the root", { name: "/etc/x" }, /\/etc\/x, a place outside/],
  ["a name that leads out", { name: "bay/../../x" }, /leads out/],
  ["a name that leads out by another slash", { name: "bay\\..\\x" }, /leads out/],
  ["a name on a drive", { name: "c:x" }, /a place outside/],
];

describe("an archive is refused, with the byte and what is allowed,", () => {
  it.each(refused)("for %s", async (_, member, said) => {
    const answer = await read([{ name: "bay/a" }, member]);
    expect(answer.ok ? "" : answer.error.message).toMatch(said);
    expect(answer.ok ? "" : answer.error.message).toContain("bay.sigmf: byte 1");
  });

  it("for more members than any recording has, and not for as many", async () => {
    const members = Array.from({ length: 1001 }, (_, i) => ({ name: `bay/${i}` }));
    expect((await read(members.slice(1))).ok).toBe(true);
    const answer = await read(members);
    expect(answer.ok ? "" : answer.error.message).toContain("more than 1000 files, allowed at most 1000");
  });
});
