import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, it } from "vitest";
import { REASONS } from "../../decoders/ladder/reasons.ts";

const top = fileURLToPath(new URL("../..", import.meta.url));
const notOurs = new Set([".git", ".cache", "node_modules", "dist"]);
const pages = pagesIn(top);
const folders = ["decoders", "samples", "seeds", "server", "tests", "web", ...foldersIn("decoders")];

describe("every page", () => {
  it.each(pages)("%s links to what is there", (page) => {
    const broken = linksOf(textOf(page)).filter((link) => !leadsSomewhere(page, link));
    expect(broken).toEqual([]);
  });

  it.each(pages)("%s names only commands that package.json has", (page) => {
    const { scripts } = JSON.parse(textOf("package.json"));
    const named = [...textOf(page).matchAll(/\bnpm (?:run ([\w:-]+)|(start|test)\b)/g)].map(
      ([, run, own]) => run ?? own,
    );
    expect(named.filter((name) => !Object.hasOwn(scripts, String(name)))).toEqual([]);
  });

  it.each(pages)("%s names only commands that wheelgram has", (page) => {
    const folder = "server/cli";
    const code = readdirSync(join(top, folder)).map((file) => textOf(`${folder}/${file}`));
    const commands = code.flatMap((text) => [...text.matchAll(/\.command\("([a-z]+)/g)].map(([, name]) => name));
    expect(commands).toContain("analyse");
    const named = [...textOf(page).matchAll(/\bnpx wheelgram ([a-z]+)/g)].map(([, name]) => name);
    expect(named.filter((name) => !commands.includes(name))).toEqual([]);
  });

  it("is seen by these tests, with links and commands in it", () => {
    expect(pages).toContain("README.md");
    expect(pages).toContain("DEVELOPERS.md");
    expect(linksOf(textOf("DEVELOPERS.md")).length).toBeGreaterThan(20);
    expect(textOf("README.md")).toMatch(/\bnpm start\b/);
  });
});

describe("every folder", () => {
  it.each(folders)("%s says in under 30 lines what it holds", (folder) => {
    const page = `${folder}/README.md`;
    expect(existsSync(join(top, page)), `${page} is there`).toBe(true);
    // The list of all reasons of the ladder is as long as it is.
    const lines = textOf(page)
      .replace(/^```[\s\S]*?^```\n/gm, "") // examples are run by tests and as long as they have to be
      .trimEnd()
      .split("\n")
      .filter((line) => !/^- `[a-z-]+` \(/.test(line));
    expect(lines.length).toBeGreaterThan(2);
    expect(lines.length).toBeLessThan(30);
  });
});

describe("decoders/ladder/README.md", () => {
  it("lists exactly the reasons that the code has, each once", () => {
    const text = textOf("decoders/ladder/README.md");
    // A reason stands first in its table row or list item.
    const listed = [...text.matchAll(/^(?:\|\s*|[-*]\s+)`([a-z][a-z0-9-]*)`/gm)].map(([, code]) => code);
    expect(listed.toSorted()).toEqual(Object.keys(REASONS).toSorted());
    expect(listed.length).toBeGreaterThan(0);
  });
});

describe("a fault in a page is found", () => {
  it.each([
    "[gone](server/gone.ts)",
    "![gone](samples/gone.png)",
    "[no such heading](README.md#no-such-heading)",
    "[nor here](#no-such-heading)",
    "[by name]\n\n[by name]: server/gone.ts",
  ])("%s", (text) => {
    expect(linksOf(text).filter((link) => !leadsSomewhere("README.md", link))).toHaveLength(1);
  });

  it("but not where it is an example in a code block", () => {
    expect(linksOf("```\n[a](gone.md)\n```\nand `[b](gone.md)`")).toEqual([]);
  });
});

/** Targets of links and pictures; those outside the clone are left out. */
function linksOf(text: string): string[] {
  const prose = text.replace(/^```[\s\S]*?^```/gm, "").replace(/`[^`\n]*`/g, "");
  const inline = [...prose.matchAll(/\]\(([^)\s]+)[^)]*\)/g)];
  const named = [...prose.matchAll(/^\[[^\]]+\]:\s*(\S+)/gm)];
  return [...inline, ...named].flatMap(([, target]) => (target && !/^[a-z]+:/.test(target) ? [target] : []));
}

function leadsSomewhere(page: string, link: string): boolean {
  const [path = "", anchor] = link.split("#");
  const target = path === "" ? join(top, page) : join(top, dirname(page), path);
  if (!existsSync(target)) return false;
  return (
    anchor === undefined || (statSync(target).isFile() && anchorsOf(readFileSync(target, "utf8")).includes(anchor))
  );
}

/** The names under which headings can be linked to. */
function anchorsOf(text: string): string[] {
  return [...text.matchAll(/^#+\s+(.+)$/gm)].map(([, heading = ""]) =>
    heading
      .toLowerCase()
      .replace(/[^\p{L}\p{N}\s_-]/gu, "")
      .trim()
      .replace(/\s/g, "-"),
  );
}

function pagesIn(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return notOurs.has(entry.name) ? [] : pagesIn(path);
    return entry.name.endsWith(".md") ? [relative(top, path).replaceAll("\\", "/")] : [];
  });
}

function foldersIn(folder: string): string[] {
  return readdirSync(join(top, folder), { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && !notOurs.has(entry.name))
    .map((entry) => `${folder}/${entry.name}`);
}

function textOf(path: string): string {
  return readFileSync(join(top, path), "utf8");
}
