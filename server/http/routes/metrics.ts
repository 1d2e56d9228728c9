import type { Metrics } from "../metrics.ts";
import { type Route, route } from "../route.ts";

export function metricRoutes(metrics: Metrics): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/metrics",
      summary: "What is counted and measured, in the text form of Prometheus",
      notes: "No identity of a sensor is a label, and no plate.",
      answers: { 200: { says: "The metrics.", body: "file", types: ["text/plain"] } },
      async handle() {
        const body = await metrics.text();
        return { status: 200, body, headers: { "Content-Type": metrics.type } };
      },
    }),
  ];
}
