import type { LinkSettings } from "../../decoders/radio/link.ts";
import type { BandTryBody } from "../../server/http/wire/bands.ts";
import { type Answer, send } from "../api.ts";

/** Has a recording made for each band and decoded; nothing is transmitted. */
export function tryBands(settings: LinkSettings, telegrams: number): Promise<Answer<BandTryBody>> {
  return send("POST", "/two-bands/tries", { json: { ...settings, telegrams } });
}
