import type { UploadBody } from "../../../server/http/wire.ts";
import { sizeWords } from "./listWords.ts";
import { percentWords, restWords } from "./restWords.ts";

/** Where the sending of a recording in pieces stands. */
export type PiecesStep =
  /** Its beginning, middle and end are read, to see whether it is known. */
  | { readonly at: "looking" }
  | { readonly at: "sending" | "paused" | "keeping" | "alike"; readonly upload: UploadBody }
  /** The server does not answer; it is asked again and again. */
  | { readonly at: "away"; readonly upload: UploadBody | undefined };

/** How far it is, and whether the page may be closed. */
export function piecesWords(name: string, step: PiecesStep): string {
  switch (step.at) {
    case "looking":
      return `Looking whether ${name} is here already …`;
    case "sending":
      return `Sending ${name}: ${sentWords(step.upload)}${restWords(step.upload.restSeconds)}. Keep this page open.`;
    case "paused":
      return `${name} is paused at ${sentWords(step.upload)}. If you close this page, choose the same file again within a week and it goes on from there.`;
    case "away":
      return `${name} waits: the server does not answer. It goes on by itself${
        step.upload ? ` from ${sentWords(step.upload)}` : ""
      }.`;
    case "keeping":
      return `All of ${name} is sent. It is being hashed, ${percentWords(step.upload.progress)} done${restWords(step.upload.restSeconds)}. You may close this page.`;
    case "alike":
      return `${name} may be here already: a recording of this size has the same beginning, middle and end.`;
  }
}

/** Share done of what is being done now, 0 to 1; `undefined` where nothing is counted. */
export function piecesShare(step: PiecesStep): number | undefined {
  if (step.at === "looking" || step.at === "alike" || !step.upload) return undefined;
  return step.at === "keeping" ? step.upload.progress : step.upload.offset / step.upload.byteCount;
}

function sentWords({ offset, byteCount }: UploadBody): string {
  return `${percentWords(offset / byteCount)} of ${sizeWords(byteCount)}`;
}
