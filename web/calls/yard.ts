import type { YardPlayBody, YardPlayNewBody } from "../../server/http/wire/yard.ts";
import { type Answer, send } from "../api.ts";

/** Makes a yard, decodes it, and tells what became of every telegram; takes some seconds. */
export function playYard(yard: YardPlayNewBody, signal?: AbortSignal): Promise<Answer<YardPlayBody>> {
  return send("POST", "/yards/plays", { json: yard, ...(signal === undefined ? {} : { signal }) });
}
