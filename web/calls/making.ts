import type { MakingBody, MakingNewBody } from "../../server/http/wire/making.ts";
import { type Answer, send } from "../api.ts";

/** Makes one telegram and decodes it. */
export function makeTelegram(making: MakingNewBody): Promise<Answer<MakingBody>> {
  return send("POST", "/makings", { json: making });
}
