import type { NextFunction, Request, Response } from "express";
import { Problem } from "./problem.ts";

/** Where the server listens. */
export interface Bound {
  readonly host: string;
  readonly port: number;
}

/**
 * Lets through only what is meant for this server and sent by its own pages or by a program that is no browser.
 *
 * A foreign page can have its name point to this computer and then read along, so the name asked for has to be a
 * loopback name or the bound address; and it can send a write without reading the answer, so a write has to come from a
 * page of ours.
 *
 * @param bound `undefined` until the server listens.
 * @source RFC 9110, section 7.4 (421); Fetch Metadata Request Headers, W3C, section 2.
 */
export function guard(bound: () => Bound | undefined) {
  return (request: Request, _: Response, next: NextFunction): void => {
    const host = request.headers.host ?? "";
    if (!isOurs(host, bound())) throw new Problem("wrong-host", `${host === "" ? "No host" : host} was asked for.`);
    if (!READS.has(request.method)) refuseForeign(request, host);
    next();
  };
}

const READS = new Set(["GET", "HEAD", "OPTIONS"]);
const LOOPBACK = /^(localhost|127\.0\.0\.1|\[::1\])(:\d{1,5})?$/i;

function isOurs(host: string, bound: Bound | undefined): boolean {
  if (LOOPBACK.test(host)) return true;
  if (!bound) return false;
  const name = bound.host.includes(":") ? `[${bound.host}]` : bound.host;
  return host.toLowerCase() === `${name}:${bound.port}`.toLowerCase();
}

function refuseForeign(request: Request, host: string): void {
  const origin = request.get("origin");
  const site = request.get("sec-fetch-site");
  if (origin !== undefined && origin.toLowerCase() !== `http://${host}`.toLowerCase()) {
    throw new Problem("foreign-origin", `The write came from a page of ${origin}.`);
  }
  if (site !== undefined && site !== "same-origin" && site !== "none") {
    throw new Problem("foreign-origin", `The write came from a page that is ${site}.`);
  }
}
