import { type Route, route } from "../route.ts";
import { HealthBody } from "../wire.ts";

export function healthRoutes(version: string): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/health",
      summary: "Whether the server answers, and its version",
      answers: { 200: { says: "It does.", body: HealthBody } },
      handle: async () => ({ status: 200, body: { status: "ok", version } }),
    }),
  ];
}
