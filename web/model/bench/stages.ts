import type { LotBody } from "../../../server/http/wire/lots.ts";

export const STAGES = ["set-up", "register", "set-points", "decide"] as const;
export type StageName = (typeof STAGES)[number];

export const STAGE_TITLES: Readonly<Record<StageName, string>> = {
  "set-up": "Set up",
  register: "Register",
  "set-points": "Set points",
  decide: "Decide",
};

/** The stage of an address such as `?at=register`; `undefined` where it names none. */
export function stageIn(search: string): StageName | undefined {
  const named = new URLSearchParams(search).get("at");
  return STAGES.find((one) => one === named);
}

/** Where the work stands: the stage that is now to be done, or the last where all are done. */
export function stageNow({ stages }: Pick<LotBody, "stages">): StageName {
  const now = stages.find(({ state }) => state === "now")?.name.replaceAll(" ", "-");
  return STAGES.find((one) => one === now) ?? "decide";
}

/** What a stage has come to. */
export function stageOf({ stages }: Pick<LotBody, "stages">, name: StageName): LotBody["stages"][number] | undefined {
  return stages.find((one) => one.name.replaceAll(" ", "-") === name);
}
