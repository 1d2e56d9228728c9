import { z } from "zod";
import type { Keeping } from "../keeping.ts";
import { type Route, route } from "../route.ts";
import { KeepingBody, KeepingChoiceBody } from "../wire/keeping.ts";

const Query = z.strictObject({
  months: z.number().min(0.1).max(1200).optional(),
  gigabytes: z.number().min(0.001).max(100_000).optional(),
});

export function keepingRoutes(keeping: Keeping): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/keeping",
      summary: "How long what receivers said is kept, and what goes by that",
      notes: "With ?months or ?gigabytes it tells what would go by another choice, and changes nothing.",
      query: Query,
      answers: { 200: { says: "How it stands.", body: KeepingBody } },
      async handle({ query: { months, gigabytes } }) {
        const isAsked = months !== undefined || gigabytes !== undefined;
        const choice = isAsked ? { months: months ?? null, gigabytes: gigabytes ?? null } : undefined;
        return { status: 200, body: await keeping.now(choice) };
      },
    }),
    route({
      method: "put",
      path: "/keeping",
      summary: "Choose how long what receivers said is kept",
      notes:
        "What is over goes at once, and every hour from then on. What was heard on a job's visit stays with the job.",
      body: KeepingChoiceBody,
      answers: { 200: { says: "How it stands now.", body: KeepingBody } },
      handle: async ({ body }) => ({ status: 200, body: await keeping.choose(body) }),
    }),
  ];
}
