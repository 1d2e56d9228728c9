import { csvText } from "../report/csv.ts";
import type { StoredTelegram } from "../store/store.ts";
import type { JobBody, JobHistoryBody, RunBody } from "./wire.ts";

export interface Visit {
  readonly job: JobBody;
  readonly runs: readonly RunBody[];
  readonly changes: readonly JobHistoryBody[];
  readonly telegrams: readonly StoredTelegram[];
}

/** All that is known of a visit, as JSON with a version of its own. */
export function exportJson(visit: Visit): string {
  return `${JSON.stringify({ format: "wheelgram-job", version: 1, ...visit }, undefined, 2)}\n`;
}

/**
 * The wheels of a job, a row each; figures with a point whatever the language of the browser.
 */
export function exportCsv(job: JobBody): string {
  const rows = job.lines.map((line, i) => {
    const wheel = job.wheels[i];
    return [
      job.id,
      job.createdAt,
      job.plate,
      job.vehicle,
      job.odometerKm,
      line.position,
      line.identity,
      line.state,
      line.carrierHz,
      line.gaugeKpa,
      line.placardKpa,
      wheel?.handGaugeKpa ?? null,
      line.temperatureC,
      line.battery,
      line.snrDb,
      line.strength,
      line.finding,
      wheel?.replaced?.oldIdentity ?? null,
      wheel?.dateCode ?? "",
    ];
  });
  return csvText([HEAD, ...rows]);
}

const HEAD = [
  "job",
  "opened",
  "plate",
  "vehicle",
  "odometerKm",
  "position",
  "sensorId",
  "state",
  "carrierHz",
  "gaugeKpa",
  "placardKpa",
  "handGaugeKpa",
  "temperatureC",
  "battery",
  "snrDb",
  "strength",
  "finding",
  "oldSensorId",
  "dateCode",
];
