import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { tmpdir } from "node:os";
import { extname, join, normalize } from "node:path";
import { expect, test } from "@playwright/test";
import { compileAsStranger, strangersProject, top } from "../support/decoders-package.ts";
import { watch } from "./test.ts";

// The packed decoders on a page that has nothing else of ours: no bundler, no build, an import map and plain modules.
let folder = "";
let server: Server;
let address = "";

test.beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "stranger-"));
  strangersProject(folder);
  compileAsStranger(folder, ["page.ts"], "bundler");
  compileAsStranger(folder, ["node.ts"], "nodenext");
  const map = JSON.stringify({ imports: { ...entriesOfDecoders(), zod: "/node_modules/zod/index.js" } });
  writeFileSync(
    join(folder, "index.html"),
    `<!doctype html><html lang="en"><link rel="icon" href="data:,"><title>A stranger's page</title>
<script type="importmap">${map}</script><script type="module" src="/bundler/page.js"></script></html>`,
  );
  ({ server, address } = await serve(folder));
});

test.afterAll(() => {
  server?.close();
  rmSync(folder, { recursive: true, force: true });
});

test("the README's example finds on a page what it finds in Node", async ({ page, context }) => {
  const faults = watch(context);
  await page.goto(address);
  await expect(page.locator("body")).toContainText('"kind": "telegram"');
  const onThePage = JSON.parse((await page.locator("body").textContent()) ?? "");
  const inNode = execFileSync(process.execPath, [join("nodenext", "node.js")], { cwd: folder, encoding: "utf8" });
  expect(onThePage.length).toBeGreaterThan(3);
  expect(onThePage).toEqual(JSON.parse(inNode));
  expect(faults).toEqual([]);
});

/** An import map's line for every entry that package.json names. */
function entriesOfDecoders(): Record<string, string> {
  const { name, exports }: { name: string; exports: Record<string, { default: string }> } = JSON.parse(
    readFileSync(join(top, "decoders", "package.json"), "utf8"),
  );
  const lines = Object.entries(exports).map(([path, entry]) => [
    path.replace(".", name),
    `/node_modules/${name}/${entry.default.slice(2)}`,
  ]);
  return Object.fromEntries(lines);
}

const KINDS: Record<string, string> = { ".html": "text/html", ".js": "text/javascript" };

function serve(root: string): Promise<{ server: Server; address: string }> {
  const server = createServer((request, response) => {
    const path = normalize(new URL(request.url ?? "/", "http://127.0.0.1").pathname);
    const file = path === "/" ? "/index.html" : path;
    try {
      const bytes = readFileSync(join(root, file));
      response.writeHead(200, { "content-type": KINDS[extname(file)] ?? "application/octet-stream" }).end(bytes);
    } catch {
      response.writeHead(404).end();
    }
  });
  return new Promise((resume, refuse) => {
    server.once("error", refuse);
    server.listen(0, "127.0.0.1", () => {
      const at = server.address();
      if (at === null || typeof at === "string") throw new Error("a port has no number");
      resume({ server, address: `http://127.0.0.1:${at.port}/` });
    });
  });
}
