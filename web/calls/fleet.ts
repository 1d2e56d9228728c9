import type { FleetBody } from "../../server/http/wire/fleet.ts";
import { type Answer, get, send } from "../api.ts";

export function fleet(): Promise<Answer<FleetBody>> {
  return get("/fleet");
}

/** Puts what was set aside back into the queue. */
export function tryAsideAgain(id: string): Promise<Answer<undefined>> {
  return send("POST", `/fleet/aside/${encodeURIComponent(id)}/again`, {});
}
