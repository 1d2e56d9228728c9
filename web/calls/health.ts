import type { HealthBody } from "../../server/http/wire.ts";
import { type Answer, get } from "../api.ts";

/** That the server is well, and its version. */
export function health(): Promise<Answer<HealthBody>> {
  return get("/health");
}
