import type { NextFunction, Request, Response } from "express";
import { isFromHere } from "../receivers/fromHere.ts";
import type { StoredDevice } from "../store/store.ts";
import type { Access } from "./access.ts";
import type { Lessons, Seat } from "./class/lessons.ts";
import { hostsOf, type Network } from "./network.ts";
import { Problem } from "./problem.ts";

/** Where the server listens. */
export interface Bound {
  readonly host: string;
  readonly port: number;
  /** Where it is open to the shop's network. */
  readonly network?: Network | undefined;
}

/**
 * Who asks: somebody at the computer itself, or a device from the network, which may not be let in yet. Either may have a
 * seat in a lesson, which by itself opens nothing but that seat.
 */
export type Asker = { readonly seat: Seat | undefined } & (
  | { readonly kind: "here" }
  | { readonly kind: "network"; readonly device: StoredDevice | undefined }
);

const askers = new WeakMap<Request, Asker>();

/** @throws RangeError for a request that did not come past the guard: a mistake in the program. */
export function askerOf(request: Request): Asker {
  const asker = askers.get(request);
  if (!asker) throw new RangeError("a request that nobody looked at");
  return asker;
}

/** @throws Problem `no-seat` for whoever has none, or one that was wiped. */
export function seatOf(request: Request): Seat {
  const { seat } = askerOf(request);
  if (!seat) throw new Problem("no-seat", "There is no seat that this key opens.");
  return seat;
}

/** For what only somebody at the computer itself may do. @throws Problem `only-here` */
export function refuseFromNetwork(request: Request): void {
  if (askerOf(request).kind !== "here") throw new Problem("only-here", "It was asked for from the network.");
}

/**
 * Lets through only what is meant for this server and sent by its own pages or by a program that is no browser; and from
 * the network only devices that were let in, whatever a device needs to be let in, and seats of a lesson to their own.
 *
 * A foreign page can have its name point to this computer and then read along, so the name asked for has to be ours; and
 * it can send a write without reading the answer, so a write has to come from a page of ours. A browser says with every
 * write where it came from (Fetch Standard, "append a request Origin header"), so one that says nothing was sent by a
 * program; from the network such a program has to show its key in a header, which no page can make a browser do.
 *
 * @param bound `undefined` until the server listens.
 * @source RFC 9110, section 7.4 (421); Fetch Metadata Request Headers, W3C, section 2; OWASP ASVS 5.0, 3.5.1 to 3.5.3.
 */
export function guard(bound: () => Bound | undefined, access: Access, lessons: Pick<Lessons, "seatOf">) {
  return (request: Request, response: Response, next: NextFunction): void => {
    const host = (request.headers.host ?? "").toLowerCase();
    const at = bound();
    const network = at?.network !== undefined && request.socket.localPort === at.network.port ? at.network : undefined;
    // Before it is known where the network comes in, nobody comes in from there.
    const isHere = network === undefined && isFromHere(request.socket);
    const isOurs = network ? hostsOf(network).has(host) : isHere && isLoopback(host, at);
    if (!isOurs) throw new Problem("wrong-host", `${host === "" ? "No host" : host} was asked for.`);
    // A page may be opened by a link from anywhere; the interface is for our own pages and for programs.
    if (!READS.has(request.method) || isInterface(request)) {
      refuseForeign(request, `${network?.secure ? "https" : "http"}://${host}`);
    }
    const seat = seatIn(request, response, lessons, network?.secure ?? false);
    askers.set(
      request,
      network ? fromNetwork(request, response, access, network.secure, seat) : { kind: "here", seat },
    );
    next();
  };
}

/** However it is spelled: whoever routes it may take letters of either case for the same. */
function isInterface({ path }: Request): boolean {
  return /^\/+api(\/|$)/i.test(path);
}

const READS = new Set(["GET", "HEAD", "OPTIONS"]);
const LOOPBACK = /^(localhost|127\.0\.0\.1|\[::1\])(:\d{1,5})?$/;

function isLoopback(host: string, bound: Bound | undefined): boolean {
  if (LOOPBACK.test(host)) return true;
  if (!bound) return false;
  const name = bound.host.includes(":") ? `[${bound.host}]` : bound.host;
  return host === `${name}:${bound.port}`.toLowerCase();
}

function refuseForeign(request: Request, own: string): void {
  const origin = request.get("origin");
  const site = request.get("sec-fetch-site");
  if (origin !== undefined && origin.toLowerCase() !== own) {
    throw new Problem("foreign-origin", `It was asked for by a page of ${origin}.`);
  }
  if (site !== undefined && site !== "same-origin" && site !== "none") {
    throw new Problem("foreign-origin", `It was asked for by a page that is ${site}.`);
  }
}

/**
 * The header that gives a browser its key, or with an empty one takes it away.
 *
 * @source RFC 6265bis, section 4.1.3.2: a browser takes a name with this beginning only over HTTPS, from the host itself.
 */
export function deviceCookie(secure: boolean, key: string, seconds: number): string {
  return cookie("device", secure, key, seconds);
}

/** The same for a seat. It makes no device of whoever has it. */
export function seatCookie(secure: boolean, key: string, seconds: number): string {
  return cookie("seat", secure, key, seconds);
}

type CookieOf = "device" | "seat";

function cookie(of: CookieOf, secure: boolean, key: string, seconds: number): string {
  const attributes = `Path=/; Max-Age=${seconds}; HttpOnly; SameSite=Strict${secure ? "; Secure" : ""}`;
  return `${cookieName(of, secure)}=${key}; ${attributes}`;
}

function cookieName(of: CookieOf, secure: boolean): string {
  return `${secure ? "__Host-" : ""}wheelgram-${of}`;
}

/** What a device may ask for before it is let in: the pages, which hold nothing, and the swap of a code. */
const FOR_ALL = /^\/api\/v1\/(health|network)$/;
const SWAPS = /^\/api\/v1\/(devices|seats)$/;
const OF_A_SEAT = /^\/api\/v1\/seat(\/|$)/;

/** A key of 256 bits need not be kept from being guessed, so wrong ones are not counted: they come when a class goes. */
function seatIn(
  request: Request,
  response: Response,
  lessons: Pick<Lessons, "seatOf">,
  secure: boolean,
): Seat | undefined {
  const bearer = bearerIn(request);
  const bySeat = bearer === undefined ? undefined : lessons.seatOf(bearer);
  const kept = cookieIn(request, cookieName("seat", secure));
  if (bySeat || kept === undefined) return bySeat;
  const seat = lessons.seatOf(kept);
  if (!seat && isInterface(request)) response.append("Set-Cookie", seatCookie(secure, "", 0));
  return seat;
}

function fromNetwork(
  request: Request,
  response: Response,
  access: Access,
  secure: boolean,
  seat: Seat | undefined,
): Asker {
  const shown = keyIn(request, cookieName("device", secure));
  const device = shown === undefined ? undefined : access.deviceOf(shown.key);
  if (device) access.seenOn(device, request.socket);
  // A tablet that was let go forgets its key, and does not go on showing it.
  else if (shown?.by === "cookie") response.append("Set-Cookie", deviceCookie(secure, "", 0));
  // A browser sends its cookie along whoever asks, so it has to say who that was.
  const isProgram = request.get("origin") === undefined && request.get("sec-fetch-site") === undefined;
  const byCookie = shown?.by === "cookie" || (seat !== undefined && shown === undefined);
  if (!READS.has(request.method) && byCookie && isProgram) {
    throw new Problem("foreign-origin", "It does not say which page it was asked for by.");
  }
  const path = request.path;
  const isOpen =
    !isInterface(request) ||
    (request.method === "GET" && FOR_ALL.test(path)) ||
    (request.method === "POST" && SWAPS.test(path)) ||
    (seat !== undefined && OF_A_SEAT.test(path));
  if (!device && !isOpen) {
    if (shown && !seat) access.wrongKey(request.socket.remoteAddress ?? "");
    if (OF_A_SEAT.test(path)) throw new Problem("no-seat", "There is no seat that this key opens.");
    throw new Problem("not-paired", "This device is not let in.");
  }
  return { kind: "network", device, seat };
}

function keyIn(
  request: Request,
  cookie: string,
): { readonly key: string; readonly by: "cookie" | "header" } | undefined {
  const bearer = bearerIn(request);
  if (bearer !== undefined) return { key: bearer, by: "header" };
  const kept = cookieIn(request, cookie);
  return kept === undefined ? undefined : { key: kept, by: "cookie" };
}

function bearerIn(request: Request): string | undefined {
  return /^Bearer ([A-Za-z0-9_-]{1,100})$/i.exec(request.get("authorization") ?? "")?.[1];
}

function cookieIn(request: Request, cookie: string): string | undefined {
  for (const part of (request.headers.cookie ?? "").split(";")) {
    const [name, value = ""] = part.trim().split("=", 2);
    if (name === cookie && /^[A-Za-z0-9_-]{1,100}$/.test(value)) return value;
  }
  return undefined;
}
