import { Gauge, type Registry } from "prom-client";
import type { FleetStatus } from "../fleet/status.ts";

/**
 * Measures of a fleet, the same as its page shows; what is not known at the moment is left out rather than told as 0.
 * Labels are names of machines and streams, never of recordings, receivers or sensors.
 *
 * @returns Takes in how the fleet stands.
 */
export function fleetMetrics(registers: readonly Registry[]): (status: FleetStatus) => void {
  const gauge = <Label extends string>(name: string, help: string, labelNames: readonly Label[] = []) =>
    new Gauge({ name: `wheelgram_fleet_${name}`, help, labelNames: [...labelNames], registers: [...registers] });
  const up = gauge("nats_server_up", "Whether a NATS server answers: 1 or 0.", ["server"]);
  const leads = gauge("stream_has_leader", "Whether a stream has a leader, so that it takes things in.", ["stream"]);
  const copies = gauge("stream_current_copies", "Copies of a stream that are up to date.", ["stream"]);
  const messages = gauge("stream_messages", "Messages that lie in a stream.", ["stream"]);
  const bytes = gauge("stream_bytes", "Bytes that lie in a stream, of one copy.", ["stream"]);
  const store = gauge("store_up", "Whether PostgreSQL answers: 1 or 0.");
  const members = gauge("members", "Servers and workers that were heard of lately.", ["kind"]);
  const partitions = gauge("worker_partitions", "Shares of the receivers that a worker decodes.", ["worker"]);
  const lines = gauge("waiting_line_messages", "Messages of lines that wait to be decoded, at most.");
  const lineAge = gauge("oldest_waiting_line_seconds", "How long the oldest of them has waited.");
  const work = gauge("waiting_work", "Recordings and inputs of studies that no worker has taken yet.");
  const running = gauge("running_work", "Those that a worker is at.");
  const workAge = gauge("oldest_work_seconds", "How long the oldest of both has been in the queue.");
  const aside = gauge("aside", "Recordings and inputs of studies that were set aside.");
  const perStream = [leads, copies, messages, bytes];

  return (status) => {
    for (const one of [up, ...perStream, members, partitions]) one.reset();
    for (const { address, name, answers } of status.nats.servers) up.set({ server: name ?? address }, answers ? 1 : 0);
    for (const stream of status.nats.streams ?? []) {
      const label = { stream: stream.name };
      leads.set(label, stream.leader === null ? 0 : 1);
      copies.set(label, stream.copies.filter(({ state }) => state === "leads" || state === "current").length);
      messages.set(label, stream.messages);
      bytes.set(label, stream.bytes);
    }
    store.set(status.store.answers ? 1 : 0);
    for (const kind of ["server", "worker"] as const) {
      members.set({ kind }, status.members.filter((one) => one.kind === kind).length);
    }
    for (const one of status.members) {
      if (one.kind === "worker") partitions.set({ worker: one.name }, one.partitions.length);
    }
    const { lag } = status;
    tell(lines, lag.lines);
    // Where nothing waits, nothing has waited.
    tell(lineAge, lag.lines === 0 ? 0 : lag.oldestLineSeconds);
    tell(work, lag.work);
    tell(running, lag.workRunning);
    tell(workAge, lag.work === 0 && lag.workRunning === 0 ? 0 : lag.oldestWorkSeconds);
    if (status.nats.streams === null) aside.reset();
    else aside.set(status.aside.length);
  };
}

function tell(gauge: Gauge, value: number | null): void {
  if (value === null) gauge.remove();
  else gauge.set(value);
}
