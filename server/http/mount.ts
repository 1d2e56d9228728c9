import express, { type Express, type NextFunction, type Request, type Response } from "express";
import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import { readJson } from "../recordings/json.ts";
import type { Once } from "./once.ts";
import { Problem } from "./problem.ts";
import type { Answer, Method, Route } from "./route.ts";

export const PREFIX = "/api/v1";

/** Bodies of JSON, where a route does not say otherwise; a layout file is the largest of them. */
const MAX_JSON_BYTES = 2 ** 20;

/**
 * Puts the routes into the application; a path that is asked by a method it does not take is a problem of its own.
 *
 * @param bodyMs Within which a body of JSON has to come to its end.
 */
export function mount(app: Express, routes: readonly Route[], once: Once, bodyMs: number): void {
  for (const route of routes) {
    const json = express.raw({ type: () => true, limit: route.mostBytes ?? MAX_JSON_BYTES });
    const before = route.body !== undefined && route.body !== "octets" ? [onlyJson, inTime(bodyMs), json] : [];
    app[route.method](expressPath(route.path), ...before, async (request: Request, response: Response) => {
      const asked = askedOf(route, request);
      const handle = () => route.handle(asked, response);
      const answer = takesName(route) ? await once(request, handle) : await handle();
      if (answer) send(route, answer, response);
    });
  }
  for (const path of new Set(routes.map((route) => route.path))) {
    const allowed = methodsOf(routes, path);
    app.all(expressPath(path), (request: Request, response: Response) => {
      response.set("Allow", allowed);
      if (request.method === "OPTIONS") return void response.status(204).end();
      throw new Problem("method-not-allowed", `${request.method} is not for ${request.path}, which takes ${allowed}.`, {
        headers: { Allow: allowed },
      });
    });
  }
}

/** The bytes of a file are known by their hash, and by their place in the upload. */
export function takesName({ method, body, tellsSecret, notKept }: Route): boolean {
  return method !== "get" && body !== "octets" && tellsSecret === undefined && notKept === undefined;
}

function expressPath(path: string): string {
  return PREFIX + path.replace(/\{(\w+)\}/g, ":$1");
}

function methodsOf(routes: readonly Route[], path: string): string {
  const methods = new Set<Method>(routes.filter((route) => route.path === path).map(({ method }) => method));
  const names = [...methods].map((method) => method.toUpperCase());
  return [...names, ...(methods.has("get") ? ["HEAD"] : []), "OPTIONS"].join(", ");
}

function onlyJson(request: Request, _: Response, next: NextFunction): void {
  if (request.is(["json", "+json"]) === false) {
    const found = request.get("content-type") ?? "no Content-Type";
    throw new Problem("not-that-type", `Found ${found}, allowed application/json.`);
  }
  next();
}

function inTime(bodyMs: number) {
  return (request: Request, response: Response, next: NextFunction): void => {
    const late = setTimeout(() => {
      response.once("finish", () => request.destroy()); // what may still come is not waited for
      next(new Problem("too-slow", `It did not end within ${bodyMs / 1000} s.`, { headers: { Connection: "close" } }));
    }, bodyMs);
    for (const over of ["end", "close"]) request.once(over, () => clearTimeout(late));
    next();
  };
}

function askedOf(route: Route, request: Request) {
  const params = Object.fromEntries(
    Object.entries(request.params).map(([name, value]) => [name, Array.isArray(value) ? value.join("/") : value]),
  );
  return {
    params,
    query: queryOf(route, request),
    body: bodyOf(route, request),
    revision: route.ifMatch ? revisionOf(request) : 0,
    request,
  };
}

function queryOf(route: Route, request: Request): unknown {
  const schema: z.ZodObject = route.query ?? z.strictObject({});
  const found = Object.fromEntries(
    Object.entries(request.query).map(([name, value]) => [name, asNumber(schema.shape[name], value)]),
  );
  return fitting(schema, found, "The query does not fit.");
}

/** Everything in a query is text; where a number is asked for and one stands there, it becomes one. */
function asNumber(schema: unknown, value: unknown): unknown {
  const inner = schema instanceof z.ZodOptional ? schema.unwrap() : schema;
  const isNumber = typeof value === "string" && /^-?\d+(\.\d+)?(e[+-]?\d+)?$/i.test(value);
  return inner instanceof z.ZodNumber && isNumber ? Number(value) : value;
}

function bodyOf(route: Route, request: Request): unknown {
  if (route.body === undefined || route.body === "octets") return undefined;
  const bytes: unknown = request.body;
  const json = readJson(bytes instanceof Uint8Array ? bytes : new Uint8Array(0));
  if (!json.ok) {
    const { byte, found, allowed } = json.error;
    throw new Problem("not-json", `Byte ${byte}: found ${found}, allowed ${allowed}.`, {
      complaints: [{ path: `byte ${byte}`, found, allowed }],
    });
  }
  return fitting(route.body, json.value, "The body does not fit.");
}

function fitting(schema: z.ZodType, value: unknown, detail: string): unknown {
  const parsed = schema.safeParse(value);
  if (parsed.success) return parsed.data;
  throw new Problem("not-fitting", detail, { complaints: complaintsOf(parsed.error, value) });
}

/**
 * The revision in `If-Match: "3"`.
 *
 * @source RFC 9110, section 13.1.1; RFC 6585, section 3 (428).
 */
function revisionOf(request: Request): number {
  const header = request.get("if-match");
  if (header === undefined) {
    throw new Problem("no-revision", 'The header If-Match is missing, such as If-Match: "3" for revision 3.');
  }
  const revision = /^"(\d{1,15})"$/.exec(header.trim())?.[1];
  if (revision === undefined) {
    throw new Problem("not-readable", `If-Match: found ${header}, allowed one revision in quotes, such as "3".`);
  }
  return Number(revision);
}

function send(route: Route, answer: Answer, response: Response): void {
  response.status(answer.status).set(answer.headers ?? {});
  // What is shown may be on a job card: no cache on the way keeps it.
  response.set("Cache-Control", "no-store");
  if (answer.body === undefined) response.end();
  else if (route.answers[answer.status]?.body === "file") response.send(answer.body);
  else if (route.answers[answer.status]?.body === "page") response.type("html").send(answer.body);
  else response.json(answer.body);
}
