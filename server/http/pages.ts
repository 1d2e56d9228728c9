import { existsSync } from "node:fs";
import { extname, join } from "node:path";
import express, { type Express, type NextFunction, type Request, type Response } from "express";
import { page } from "./page.ts";

/** Puts in the pages as they were built: assets by their names, and the one page of the house at every other path. */
export function mountPages(app: Express, webDir: string): void {
  app.use(
    express.static(webDir, {
      index: false,
      redirect: false,
      setHeaders(response, path) {
        // The names of assets change with their content, the names of all else do not.
        const isHashed = path.startsWith(join(webDir, "assets"));
        response.setHeader("Cache-Control", isHashed ? "public, max-age=31536000, immutable" : "no-cache");
      },
    }),
  );
  app.use((request: Request, response: Response, next: NextFunction) => {
    if (!isPage(request)) return next();
    response.set("Cache-Control", "no-cache");
    // By its root, since a folder above it may have a name that begins with a dot.
    if (existsSync(join(webDir, INDEX))) response.sendFile(INDEX, { root: webDir, cacheControl: false });
    else response.status(503).type("html").send(NOT_BUILT);
  });
}

/** An address that somebody opens, and no file or interface that is missing. */
function isPage(request: Request): boolean {
  const { method, path } = request;
  if (method !== "GET" && method !== "HEAD") return false;
  if (/^\/(api|help\/problems)(\/|$)/.test(path) || extname(path) !== "") return false;
  return request.accepts("html") === "html";
}

const INDEX = "index.html";

const NOT_BUILT = page(
  "The pages are not built",
  `<h1>The pages are not built</h1>
<p>The server runs and keeps everything, but the pages to look at it are missing. Run <code>npm run build</code> and open this address again.</p>
<p>Other programs can use <a href="/help/api">the HTTP interface</a> meanwhile.</p>`,
);
