import type { NextFunction, Request, Response } from "express";
import { StoreError } from "../store/storeError.ts";
import { logText } from "./logText.ts";
import { Problem, problemBody } from "./problem.ts";

/**
 * The one place where a refusal or a failure becomes an answer.
 *
 * @param log Takes one entry for whoever runs the server, of what nobody could have caused by asking.
 * @param mark A short text that finds that entry again.
 */
export function answerFailure(log: (entry: string) => void, mark: () => string) {
  // Express knows a handler of failures by its four parameters.
  return (error: unknown, request: Request, response: Response, _next: NextFunction): void => {
    const problem = problemOf(error, () => {
      const name = mark();
      log(`${name}: ${request.method} ${routeOf(request)}: ${logText(error)}`);
      return name;
    });
    if (response.headersSent) {
      response.destroy(); // half of an answer must not pass for the whole
      return;
    }
    response.status(problem.status).set({ ...problem.extras.headers, "Cache-Control": "no-store" });
    response.type("application/problem+json").send(JSON.stringify(problemBody(problem, request.path)));
  };
}

/** The path without what stands in it: that may be an identity, or whatever somebody named a file. */
function routeOf(request: Request): string {
  const route: unknown = request.route;
  const path = typeof route === "object" && route !== null && "path" in route ? route.path : undefined;
  return typeof path === "string" ? path : "a path of no route";
}

function problemOf(error: unknown, logged: () => string): Problem {
  if (error instanceof Problem) return error;
  if (error instanceof StoreError) return fromStore(error);
  if (!(error instanceof Error)) return unexpected(logged());
  const full = "code" in error ? FULL[String(error.code)] : undefined;
  if (full !== undefined) return new Problem("no-room", `Writing to the data folder failed: ${full}.`);
  if (!("status" in error) || typeof error.status !== "number" || error.status >= 500) return unexpected(logged());
  // What Express and its body reader refuse.
  if (error.status === 413) {
    const limit = "limit" in error ? ` ${String(error.limit)} bytes are allowed.` : "";
    return new Problem("too-large", `The body is too large.${limit}`);
  }
  if (error.status === 415) return new Problem("not-that-type", `${error.message}.`);
  return new Problem("not-readable", `${error.message}.`);
}

const FULL: Readonly<Record<string, string>> = {
  ENOSPC: "its disk is full",
  EDQUOT: "you may not take up more of its disk",
  EFBIG: "its disk takes no file of that size",
};

function fromStore(error: StoreError): Problem {
  const extras = { nextSteps: [error.wayOut] };
  return new Problem(error.code === "full" ? "no-room" : "not-now", error.message, extras);
}

function unexpected(name: string): Problem {
  return new Problem("unexpected", `The server noted it under ${name}.`);
}
