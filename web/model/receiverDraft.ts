import type { ReceiverNewBody } from "../../server/http/wire.ts";
import { numberTyped } from "./typed.ts";

/** A new receiver as it stands in boxes for typing. */
export interface ReceiverDraft {
  readonly kind: ReceiverNewBody["kind"];
  readonly name: string;
  readonly path: string;
  readonly baudRate: string;
  readonly port: string;
  readonly file: string;
  readonly speed: string;
}

export const EMPTY_RECEIVER: ReceiverDraft = {
  kind: "serial",
  name: "",
  path: "",
  baudRate: "115200",
  port: "0",
  file: "",
  speed: "1",
};

type Wrong = Partial<Record<keyof ReceiverDraft, string>>;

export type ReceiverTyped =
  | { readonly ok: true; readonly receiver: ReceiverNewBody }
  | { readonly ok: false; readonly wrong: Readonly<Wrong> };

/** What is sent to the server, or what is wrong with which box. Only the boxes of the chosen kind count. */
export function receiverTyped(draft: ReceiverDraft): ReceiverTyped {
  const wrong: Wrong = {};
  const name = text("name", draft.name, 80, "Give it a name, such as the place where it stands.", wrong);
  const receiver = ((): ReceiverNewBody => {
    switch (draft.kind) {
      case "serial":
        return {
          kind: "serial",
          name,
          path: text("path", draft.path, 400, "Choose a port, or type its path.", wrong),
          baudRate: whole("baudRate", draft.baudRate, 50, 4_000_000, "The rate", wrong),
        };
      case "tcp":
      case "samples":
        return { kind: draft.kind, name, port: whole("port", draft.port, 0, 65535, "The port", wrong) };
      case "replay":
        return {
          kind: "replay",
          name,
          path: text("file", draft.file, 4000, "Type the path of a file that ends in .ndjson.", wrong),
          speed: number("speed", draft.speed, 0.001, 1e6, "The speed", wrong),
        };
    }
  })();
  return Object.keys(wrong).length > 0 ? { ok: false, wrong } : { ok: true, receiver };
}

function text(key: keyof ReceiverDraft, typed: string, most: number, missing: string, wrong: Wrong): string {
  const plain = typed.trim();
  if (plain === "") wrong[key] = missing;
  else if (plain.length > most) wrong[key] = `At most ${most} characters; this has ${plain.length}.`;
  return plain;
}

function number(
  key: keyof ReceiverDraft,
  typed: string,
  least: number,
  most: number,
  what: string,
  wrong: Wrong,
): number {
  const read = numberTyped(typed, least, most, what);
  if (read.ok && read.value !== null) return read.value;
  wrong[key] = read.ok ? `${what} is a number from ${least} to ${most}.` : read.says.replace(", or leave it empty", "");
  return least;
}

function whole(
  key: keyof ReceiverDraft,
  typed: string,
  least: number,
  most: number,
  what: string,
  wrong: Wrong,
): number {
  const value = number(key, typed, least, most, what, wrong);
  if (!Number.isInteger(value)) wrong[key] = `${what} is a whole number from ${least} to ${most}.`;
  return value;
}
