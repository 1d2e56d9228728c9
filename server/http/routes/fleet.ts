import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { FleetBody } from "../wire/fleet.ts";

/** Several servers and workers as one. */
export function fleetRoutes({ fleet }: Pick<House, "fleet">): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/fleet",
      summary: "How the fleet stands that this server is one of",
      notes: "`fleet` is null where the server runs without --fleet. What does not answer is told, not refused.",
      answers: { 200: { says: "How it stands.", body: FleetBody } },
      handle: async () => ({ status: 200, body: { fleet: fleet ? await fleet.status() : null } }),
    }),
    route({
      method: "post",
      path: "/fleet/aside/{id}/again",
      summary: "Put a recording that was set aside back into the queue",
      notes: "It has three tries again. An input of a study is known by its key, a recording by its hash.",
      answers: { 204: { says: "It is in the queue." } },
      problems: ["not-found"],
      async handle({ params }) {
        const id = params["id"] ?? "";
        if (!(await fleet?.again(id))) {
          throw new Problem("not-found", `Nothing of the id ${id} is set aside.`, { nextSteps: ["See /fleet."] });
        }
        return { status: 204 };
      },
    }),
  ];
}
