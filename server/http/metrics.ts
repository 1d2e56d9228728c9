import type { NextFunction, Request, Response } from "express";
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";
import type { FleetWatch } from "../fleet/watch.ts";
import type { ReceiverStatus } from "../receivers/status.ts";
import { celsius, gaugeKpa } from "../report/telegramTable.ts";
import type { StoredTelegram } from "../store/store.ts";
import { fleetMetrics } from "./fleetMetrics.ts";

/** What is counted and measured, for programs that watch servers. No sensor's identity is in it, nor any plate. */
export interface Metrics {
  /** The text that is scraped, and its type. */
  readonly text: () => Promise<string>;
  readonly type: string;
  /** A telegram was heard for the first time. */
  readonly heard: (telegram: StoredTelegram["telegram"]) => void;
  /** Times every request by the route that answered it. */
  readonly timeRequests: (request: Request, response: Response, next: NextFunction) => void;
}

/**
 * Base units, as their names say: seconds, bytes, degrees Celsius, and pascals, which the guide does not list.
 *
 * @source Prometheus documentation, "Metric and label naming"; ISO 80000-4 for the pascal.
 */
export function createMetrics(
  receivers: () => Promise<readonly ReceiverStatus[]>,
  version: string,
  fleet: Pick<FleetWatch, "status"> | undefined,
): Metrics {
  const registry = new Registry();
  const registers = [registry];
  collectDefaultMetrics({ register: registry });
  new Gauge({
    name: "wheelgram_info",
    help: "The version that runs; always 1.",
    labelNames: ["version"],
    registers,
  }).set({ version }, 1);
  const ofReceiver = <Name extends string>(name: Name, help: string) =>
    new Gauge({ name, help, labelNames: ["receiver"], registers });
  const counted = (name: string, help: string) => new Counter({ name, help, labelNames: ["receiver"], registers });
  const listening = ofReceiver("wheelgram_receiver_listening", "Whether the receiver listens: 1 or 0.");
  const heardAt = ofReceiver(
    "wheelgram_receiver_last_heard_timestamp_seconds",
    "When anything came from the receiver last, since 1970.",
  );
  const gaps = ofReceiver("wheelgram_receiver_open_gaps", "Stretches of lines that were missed and asked for again.");
  const totals = {
    lines: counted("wheelgram_receiver_lines_total", "Lines that were kept."),
    bursts: counted("wheelgram_receiver_bursts_total", "Bursts that were decoded."),
    telegrams: counted("wheelgram_receiver_telegrams_total", "Telegrams that were heard."),
    quarantined: counted("wheelgram_receiver_refused_lines_total", "Lines that did not fit and were put aside."),
  };
  const pressure = new Histogram({
    name: "wheelgram_telegram_pressure_pascals",
    help: "Gauge pressure that telegrams told.",
    buckets: [1e5, 1.5e5, 2e5, 2.5e5, 3e5, 4e5, 6e5, 9e5],
    registers,
  });
  const temperature = new Histogram({
    name: "wheelgram_telegram_temperature_celsius",
    help: "Temperature that telegrams told.",
    buckets: [-40, -20, 0, 10, 20, 30, 40, 60, 80, 120],
    registers,
  });
  const requests = new Histogram({
    name: "wheelgram_http_request_duration_seconds",
    help: "How long requests took, by the route that answered; streams are counted when they end.",
    labelNames: ["method", "route", "status"],
    buckets: [0.005, 0.02, 0.05, 0.1, 0.25, 1, 5],
    registers,
  });

  const ofFleet = fleet && fleetMetrics(registers);

  async function collect(): Promise<void> {
    if (fleet) ofFleet?.(await fleet.status());
    for (const metric of [listening, heardAt, gaps, ...Object.values(totals)]) metric.reset();
    for (const one of await receivers()) {
      const label = { receiver: one.name };
      listening.inc(label, one.state === "listening" ? 1 : 0);
      if (one.lastHeardAt !== null) heardAt.set(label, Date.parse(one.lastHeardAt) / 1000);
      gaps.inc(label, one.gaps.filter(({ state }) => state === "open").length);
      for (const [name, counter] of Object.entries(totals)) counter.inc(label, one[name as keyof typeof totals]);
    }
  }

  return {
    type: registry.contentType,
    async text() {
      await collect();
      return registry.metrics();
    },
    heard(telegram) {
      const kpa = gaugeKpa(telegram);
      if (kpa !== null) pressure.observe(1000 * kpa);
      const degrees = celsius(telegram);
      if (degrees !== null) temperature.observe(degrees);
    },
    timeRequests(request, response, next) {
      const started = performance.now();
      response.once("close", () => {
        // The route as it is described, never the address: that may hold anything.
        const path: unknown = request.route?.path;
        const route = typeof path === "string" ? path : "none";
        const labels = { method: request.method, route, status: String(response.statusCode) };
        requests.observe(labels, (performance.now() - started) / 1000);
      });
      next();
    },
  };
}
