import type { ProblemBody } from "../server/http/wire.ts";

// The only place that fetches. What comes back was checked by the server against the schemas of wire.ts, so it is taken
// as the type that the caller names.

/** What went wrong, in words, with what somebody can do about it. `status` 0: no answer came at all. */
export type Problem = Pick<ProblemBody, "title" | "status" | "detail" | "nextSteps" | "complaints">;

export type Answer<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problem: Problem };

export interface Sending {
  /** Any JSON value. */
  readonly json?: unknown;
  /** Bytes as they are, instead of JSON. */
  readonly bytes?: Blob;
  /** The revision that a change is based on. */
  readonly revision?: number;
  /** The answer holds a secret, which the server keeps nowhere: it is asked for once, and not again. */
  readonly tellsSecret?: true;
  /** Breaks it off; what came of it is then unknown. */
  readonly signal?: AbortSignal;
}

/** Asks the server for JSON; `path` begins after `/api/v1`. Never rejects: whatever goes wrong is a problem. */
export function get<T>(path: string): Promise<Answer<T>> {
  return answerOf<T>("GET", path, {});
}

/** Changes something on the server. A body that comes back empty is `undefined`. Never rejects. */
export function send<T>(method: "POST" | "PUT" | "PATCH" | "DELETE", path: string, what: Sending): Promise<Answer<T>> {
  return answerOf<T>(method, path, what);
}

/** Told to the window when the server does not let this device in any more. */
export const REFUSED = "wheelgram-refused";

/** Where the server tells what happens, numbered; the browser itself asks again for what it missed. */
export const EVENTS_ADDRESS = "/api/v1/events";

/** A file that came with the pages, by the address that the bundle gave it. @throws Error where it does not come. */
export async function assetBytes(address: string): Promise<Uint8Array> {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`the server answered ${response.status} for ${address}`);
  return new Uint8Array(await response.arrayBuffer());
}

/** Asks the server for a text, such as a drawing; `path` begins after `/api/v1`. Never rejects. */
export async function getText(path: string): Promise<Answer<string>> {
  try {
    const response = await fetch(`/api/v1${path}`);
    const text = await response.text();
    return response.ok ? { ok: true, value: text } : { ok: false, problem: problemOf(response.status, text) };
  } catch (error) {
    return { ok: false, problem: unreachable(error) };
  }
}

async function answerOf<T>(
  method: string,
  path: string,
  { json, bytes, revision, tellsSecret, signal }: Sending,
): Promise<Answer<T>> {
  const headers: Record<string, string> = { accept: "application/json, application/problem+json" };
  if (json !== undefined) headers["content-type"] = "application/json";
  if (bytes !== undefined) headers["content-type"] = "application/octet-stream";
  if (revision !== undefined) headers["if-match"] = `"${revision}"`;
  const body = bytes ?? (json === undefined ? undefined : JSON.stringify(json));
  // Named, a write is done once though it is sent twice: its first answer may have been lost on the way.
  const isNamed = method === "POST" && bytes === undefined && !tellsSecret;
  if (isNamed) headers["idempotency-key"] = `"${newName()}"`;
  const ask = () =>
    fetch(`/api/v1${path}`, {
      method,
      headers,
      ...(body === undefined ? {} : { body }),
      ...(signal === undefined ? {} : { signal }),
    });
  try {
    const response = await ask().catch(async (error: unknown) => {
      if (!isNamed || signal?.aborted) throw error;
      await new Promise((resume) => setTimeout(resume, AGAIN_MS));
      return ask();
    });
    const text = await response.text();
    if (response.status === 401) dispatchEvent(new Event(REFUSED));
    if (!response.ok) return { ok: false, problem: problemOf(response.status, text) };
    return { ok: true, value: (text === "" ? undefined : JSON.parse(text)) as T };
  } catch (error) {
    return { ok: false, problem: unreachable(error) };
  }
}

const AGAIN_MS = 400;

/** 128 bits by chance; a page over plain HTTP has no other source of names. */
function newName(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function problemOf(status: number, text: string): Problem {
  try {
    const body = JSON.parse(text) as Partial<ProblemBody>;
    if (typeof body.title === "string" && typeof body.detail === "string" && Array.isArray(body.nextSteps)) {
      const { title, detail, nextSteps, complaints } = body;
      return { title, status, detail, nextSteps, ...(complaints === undefined ? {} : { complaints }) };
    }
  } catch {
    // Not a problem document: what stands between us and the server may have answered in its place.
  }
  return {
    title: `The server answered ${status}`,
    status,
    detail: "It did not say why in a form that this page can read.",
    nextSteps: ["Try again.", "Look at what the server printed where it was started."],
  };
}

function unreachable(error: unknown): Problem {
  return {
    title: "The server does not answer",
    status: 0,
    detail: `Nothing that was stored is lost. (${error instanceof Error ? error.message : String(error)})`,
    nextSteps: ["Look whether wheelgram serve still runs, then try again."],
  };
}
