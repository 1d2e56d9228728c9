import type { KeepingBody } from "../../server/http/wire/keeping.ts";
import { type Answer, get, send } from "../api.ts";

/** A limit in months, in gigabytes, in both or in none. */
export interface KeepingChoice {
  readonly months: number | null;
  readonly gigabytes: number | null;
}

export function keeping(): Promise<Answer<KeepingBody>> {
  return get("/keeping");
}

/** What would go by a choice; changes nothing. */
export function keepingBy({ months, gigabytes }: KeepingChoice): Promise<Answer<KeepingBody>> {
  const asked = new URLSearchParams();
  if (months !== null) asked.set("months", String(months));
  if (gigabytes !== null) asked.set("gigabytes", String(gigabytes));
  return get(`/keeping?${asked}`);
}

export function chooseKeeping(choice: KeepingChoice): Promise<Answer<KeepingBody>> {
  return send("PUT", "/keeping", { json: choice });
}
