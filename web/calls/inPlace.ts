import type { InPlaceBody, InPlaceFolderBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";
import type { Told } from "../model/recording/uploadPlan.ts";

export function inPlaceFolder(): Promise<Answer<InPlaceFolderBody>> {
  return get("/in-place");
}

export function openInPlace(path: string, { type, rateHz, carrierHz }: Told = {}): Promise<Answer<InPlaceBody>> {
  const json = {
    path,
    ...(type === undefined ? {} : { type }),
    ...(rateHz === undefined ? {} : { rate: rateHz }),
    ...(carrierHz === undefined ? {} : { carrier: carrierHz }),
  };
  return send("POST", "/in-place", { json });
}

export function stopOpening(path: string): Promise<Answer<undefined>> {
  return send("DELETE", `/in-place?path=${encodeURIComponent(path)}`, {});
}
