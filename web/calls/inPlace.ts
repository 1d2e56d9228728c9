import type { InPlaceBody, InPlaceFolderBody, InPlaceOpenBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";
import type { Told } from "../model/recording/uploadPlan.ts";

export function inPlaceFolder(): Promise<Answer<InPlaceFolderBody>> {
  return get("/in-place");
}

/** A file and what somebody told of it. */
export function openBody(path: string, { type, rateHz, carrierHz }: Told = {}): InPlaceOpenBody {
  return {
    path,
    ...(type === undefined ? {} : { type }),
    ...(rateHz === undefined ? {} : { rate: rateHz }),
    ...(carrierHz === undefined ? {} : { carrier: carrierHz }),
  };
}

export function openInPlace(json: InPlaceOpenBody): Promise<Answer<InPlaceBody>> {
  return send("POST", "/in-place", { json });
}

export function stopOpening(path: string): Promise<Answer<undefined>> {
  return send("DELETE", `/in-place?path=${encodeURIComponent(path)}`, {});
}
