import type { UploadBody, UploadNewBody } from "../../server/http/wire.ts";
import { type Answer, get, type Problem, send } from "../api.ts";
import type { PiecesStep } from "../model/recording/piecesWords.ts";
import type { ReadyUpload, Told } from "../model/recording/uploadPlan.ts";

/** What came of sending a recording in pieces. */
export type PiecesEnd =
  | { readonly end: "kept"; readonly hash: string }
  | { readonly end: "refused"; readonly problem: Problem }
  | { readonly end: "paused" }
  /** Nothing was sent: a person decides first. */
  | { readonly end: "asked" };

export interface SendingOptions {
  /** Sends also what may be here already. */
  readonly isSure: boolean;
  /** Pauses it. */
  readonly signal: AbortSignal;
  readonly onStep: (step: PiecesStep) => void;
  /** Whether it was given up: what the server has begun meanwhile is then taken away. */
  readonly isGivenUp: () => boolean;
}

const PIECE_BYTES = 8 * 2 ** 20;
const PART_BYTES = 2 ** 20;
const ASK_AGAIN_MS = 2000;
const LOOK_MS = 500;

/**
 * Sends a recording piece by piece, from where it stopped before, and waits until it is kept. Where the server does not
 * answer it is asked again until it does. Never rejects.
 */
export async function sendPieces(
  upload: ReadyUpload<File>,
  told: Told | undefined,
  { isSure, signal, onStep, isGivenUp }: SendingOptions,
): Promise<PiecesEnd> {
  onStep({ at: "looking" });
  const bytes = new Blob([...upload.files]);
  const said = await saidOf(upload, told, bytes.size);
  let body: UploadBody | undefined;
  while (!signal.aborted) {
    const known = body; // for the closures below
    const answer: Answer<UploadBody> =
      known === undefined
        ? await send<UploadBody>("POST", "/uploads", { json: said })
        : await step(known, bytes, signal, onStep);
    if (answer.ok) body = answer.value;
    if (signal.aborted) break;
    if (answer.ok) {
      body = answer.value;
      if (body.hash !== null) return { end: "kept", hash: body.hash };
      if (body.state === "refused") return { end: "refused", problem: refusal(body) };
      if (known === undefined && body.alike !== null && body.offset === 0 && !isSure) {
        onStep({ at: "alike", upload: body });
        return { end: "asked" };
      }
      if (known !== undefined && body.state === "coming" && body.because !== null)
        return { end: "refused", problem: standsStill(body) };
      continue;
    }
    const { status, complaints = [] } = answer.problem;
    if (status === 0) {
      onStep({ at: "away", upload: known });
      await pause(ASK_AGAIN_MS, signal);
    } else if (known === undefined || !complaints.some(({ path }) => path === "offset")) {
      return { end: "refused", problem: answer.problem };
    }
    // What came of a piece that broke off counts: the server knows how much that is.
    if (known) {
      const now = await get<UploadBody>(`/uploads/${known.id}`);
      if (now.ok) body = now.value;
      else if (now.problem.status === 404) return { end: "refused", problem: now.problem };
    }
  }
  if (isGivenUp()) {
    if (body) await dropUpload(body.id);
    return { end: "paused" };
  }
  // The piece that was broken off is being put on disk: its last byte is told a moment later.
  const last: Answer<UploadBody> | undefined = body && (await get<UploadBody>(`/uploads/${body.id}`));
  const paused = last?.ok ? last.value : body;
  if (paused) onStep({ at: "paused", upload: paused });
  return { end: "paused" };
}

/** Takes away what is here of it. */
export function dropUpload(id: string): Promise<Answer<undefined>> {
  return send("DELETE", `/uploads/${encodeURIComponent(id)}`, {});
}

/** The next piece, or a look at how far the server is. */
async function step(
  upload: UploadBody,
  bytes: Blob,
  signal: AbortSignal,
  onStep: (step: PiecesStep) => void,
): Promise<Answer<UploadBody>> {
  const { id, state, offset } = upload;
  if (state === "coming") {
    // With all bytes there the piece is empty: what stood still on a full disk is tried again.
    onStep({ at: "sending", upload });
    const piece = bytes.slice(offset, offset + PIECE_BYTES);
    return send("PATCH", `/uploads/${id}?offset=${offset}`, { bytes: piece, signal });
  }
  onStep({ at: "keeping", upload });
  await pause(LOOK_MS, signal);
  return get(`/uploads/${id}`);
}

async function saidOf(upload: ReadyUpload<File>, told: Told = {}, byteCount: number): Promise<UploadNewBody> {
  const { name, files, metaBytes } = upload;
  const samples = files.at(-1);
  const print = samples && (await printOf(samples).catch(() => undefined)); // a file that cannot be read says so later
  return {
    name,
    byteCount,
    ...(metaBytes === undefined ? {} : { metaBytes }),
    ...(told.type === undefined ? {} : { type: told.type }),
    ...(told.rateHz === undefined ? {} : { rate: told.rateHz }),
    ...(told.carrierHz === undefined ? {} : { carrier: told.carrierHz }),
    ...(print === undefined ? {} : { print }),
    ...(samples === undefined ? {} : { changedMs: samples.lastModified }),
  };
}

/** As `print` of `UploadNewBody`; `undefined` where the browser gives no hashes, as over plain HTTP from elsewhere. */
async function printOf(file: Blob): Promise<string | undefined> {
  if (!globalThis.isSecureContext) return undefined;
  const length = Math.min(PART_BYTES, file.size);
  const starts = [0, Math.floor((file.size - length) / 2), file.size - length];
  const parts = new Blob(starts.map((at) => file.slice(at, at + length)));
  const hash = await crypto.subtle.digest("SHA-512", await parts.arrayBuffer());
  return Array.from(new Uint8Array(hash), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function pause(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resume) => {
    const timer = setTimeout(resume, ms);
    signal.addEventListener("abort", () => {
      clearTimeout(timer);
      resume();
    });
  });
}

function refusal({ because }: UploadBody): Problem {
  return {
    title: "That cannot be read as a recording",
    status: 422,
    detail: because ?? "The server did not say why.",
    nextSteps: ["Mend what is named, or record again."],
  };
}

function standsStill({ because }: UploadBody): Problem {
  return {
    title: "It is all here, but could not be kept",
    status: 507,
    detail: because ?? "The server did not say why.",
    nextSteps: ["Make room on the disk, then choose the same file again: nothing has to be sent twice."],
  };
}
