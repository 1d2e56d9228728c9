import { type Complaint, shown } from "../decoders/layouts/complaint.ts";
import type { Layout } from "../decoders/layouts/schema.ts";
import { bandFit } from "./band.ts";
import { leadSymbols } from "./broken.ts";
import { carrierHzAt } from "./carrier.ts";
import { frameBits, type RawByField, rawRange } from "./encode/frame-bits.ts";
import { frameSymbols, symbolsPerBit } from "./encode/frame-symbols.ts";
import { fieldValues } from "./field-values.ts";
import type { Scenario } from "./scenario.ts";
import type { Broken, Event, FieldValues, Send, Sensor } from "./scenario-shape.ts";

/** What a scenario's keys mean together: references, places in time and in the band, values that fields can hold. */
export function scenarioComplaints(scenario: Scenario): Complaint[] {
  return [
    ...receiverComplaints(scenario),
    ...scenario.sensors.flatMap((sensor, i) => sensorComplaints(scenario, sensor, i)),
    ...(scenario.events ?? []).flatMap((event, i) => eventComplaints(scenario, event, `events[${i}]`)),
    ...gaugeComplaints(scenario),
    ...twice(scenario.outputs).map((i) => complaint(`outputs[${i}]`, scenario.outputs[i], "each output once")),
  ];
}

function complaint(path: string, found: unknown, allowed: string): Complaint {
  return { path, found: shown(found), allowed };
}

/** Indices of the entries that stand before already. */
function twice(list: readonly unknown[]): number[] {
  return list.flatMap((entry, i) => (list.indexOf(entry) < i ? [i] : []));
}

function receiverComplaints({ receiver, durationSeconds, startsAt }: Scenario): Complaint[] {
  const complaints: Complaint[] = [];
  if (!exists(startsAt)) complaints.push(complaint("startsAt", startsAt, "a day and time that exist"));
  receiver.tunings.forEach(({ fromSeconds }, i) => {
    const path = `receiver.tunings[${i}].fromSeconds`;
    const before = receiver.tunings[i - 1]?.fromSeconds;
    if (before === undefined) {
      if (fromSeconds !== 0) complaints.push(complaint(path, fromSeconds, "0, the recording's start"));
    } else if (fromSeconds <= before) complaints.push(complaint(path, fromSeconds, `a time after ${before}`));
    if (fromSeconds >= durationSeconds) {
      complaints.push(complaint(path, fromSeconds, `a time before the end, ${durationSeconds}`));
    }
  });
  return complaints;
}

/** Whether there is such a moment: engines take 30 February for 2 March. */
function exists(startsAt: string): boolean {
  const toTheSecond = startsAt.slice(0, 19);
  const parsed = Date.parse(`${toTheSecond}Z`);
  return !Number.isNaN(parsed) && new Date(parsed).toISOString().startsWith(toTheSecond);
}

function sensorComplaints(scenario: Scenario, sensor: Sensor, index: number): Complaint[] {
  const path = `sensors[${index}]`;
  const complaints: Complaint[] = [];
  if (scenario.sensors.findIndex((other) => other.name === sensor.name) < index) {
    complaints.push(complaint(`${path}.name`, sensor.name, "a name that no other sensor has"));
  }
  if (sensor.dumb && sensor.sends?.length) {
    complaints.push(complaint(`${path}.sends`, sensor.sends, "none, from a dumb sensor"));
  }
  for (const key of ["pressureKpa", "temperatureC", "carrierWalkHz"] as const) {
    const times = sensor[key]?.map(({ atSeconds }) => atSeconds) ?? [];
    times.forEach((at, i) => {
      if (i > 0 && at <= times[i - 1]!) {
        complaints.push(complaint(`${path}.${key}[${i}].atSeconds`, at, `a time after ${times[i - 1]}`));
      }
    });
  }
  const layout = scenario.layoutById.get(sensor.layout);
  if (!layout) {
    const allowed = [...scenario.layoutById.keys()].join(", ");
    return [...complaints, complaint(`${path}.layout`, sensor.layout, allowed)];
  }
  return [
    ...complaints,
    ...identityComplaints(sensor, layout, path),
    ...carrierComplaints(scenario, sensor, layout, path),
    ...valueNameComplaints(layout, sensor.values, `${path}.values`),
    ...sendComplaints(scenario, sensor, layout, path),
  ];
}

/** Asked of dumb sensors too, which have no send that would show it. */
function identityComplaints(sensor: Sensor, layout: Layout, path: string): Complaint[] {
  const field = layout.fields.find(({ type }) => type === "identity");
  if (!field) return [complaint(`${path}.layout`, sensor.layout, "a layout with an identity")];
  if (BigInt(`0x${sensor.identity}`) <= rawRange(field).greatest) return [];
  return [complaint(`${path}.identity`, sensor.identity, `what ${field.bits} bits hold`)];
}

function carrierComplaints({ receiver }: Scenario, sensor: Sensor, layout: Layout, path: string): Complaint[] {
  const complaints: Complaint[] = [];
  if (!layout.carrierHz.includes(sensor.carrierHz)) {
    complaints.push(complaint(`${path}.carrierHz`, sensor.carrierHz, layout.carrierHz.join(", ")));
  }
  if (receiver.sampleRateHz < LEAST_SAMPLES_A_SYMBOL * layout.symbolRate) {
    const allowed = `a layout of at most ${receiver.sampleRateHz / LEAST_SAMPLES_A_SYMBOL} symbols/s at this sample rate`;
    complaints.push(complaint(`${path}.layout`, sensor.layout, allowed));
  }
  const key = sensor.carrierWalkHz ? "carrierWalkHz" : "offsetHz";
  for (const tuning of receiver.tunings) {
    const isCut = (seconds: number) =>
      bandFit(layout, carrierHzAt(sensor, seconds) - tuning.carrierHz, receiver.sampleRateHz) === "cut";
    if (carrierMoments(sensor).some(isCut)) {
      const allowed = `a carrier wholly inside or wholly outside ${tuning.carrierHz} ± ${receiver.sampleRateHz / 2} Hz`;
      complaints.push(complaint(`${path}.${key}`, sensor[key], allowed));
    }
  }
  return complaints;
}

/** When it sends, and where its carrier turns, for those which never send. */
function carrierMoments({ sends, carrierWalkHz }: Sensor): number[] {
  return [0, ...[...(sends ?? []), ...(carrierWalkHz ?? [])].map(({ atSeconds }) => atSeconds)];
}

/** Below this an edge within a sample would cost a symbol too much. */
const LEAST_SAMPLES_A_SYMBOL = 4;

function valueNameComplaints(layout: Layout, values: FieldValues | undefined, path: string): Complaint[] {
  const settable = layout.fields
    .filter(({ type }) => type !== "identity" && type !== "constant")
    .map(({ name }) => name);
  return Object.entries(values ?? {}).flatMap(([name, value]) =>
    settable.includes(name) ? [] : [complaint(`${path}.${name}`, value, `values of ${settable.join(", ")}`)],
  );
}

function sendComplaints(scenario: Scenario, sensor: Sensor, layout: Layout, path: string): Complaint[] {
  const complaints: Complaint[] = [];
  const sends = sensor.sends ?? [];
  let freeFrom = 0;
  sends.forEach((send, i) => {
    const at = `${path}.sends[${i}]`;
    complaints.push(...valueNameComplaints(layout, send.values, `${at}.values`));
    if (send.atSeconds >= scenario.durationSeconds) {
      complaints.push(
        complaint(`${at}.atSeconds`, send.atSeconds, `a time before the end, ${scenario.durationSeconds}`),
      );
    }
    if (send.atSeconds < freeFrom) {
      complaints.push(complaint(`${at}.atSeconds`, send.atSeconds, `a time after the send before, ${freeFrom}`));
    }
    if ((send.copies ?? 1) > 1 && !layout.repeats) {
      complaints.push(complaint(`${at}.copies`, send.copies, "1, since this layout repeats nothing"));
    }
    freeFrom = send.atSeconds + sendSeconds(layout, sensor, send);
    const { raw, faults } = fieldValues(layout, sensor, send, i, scenario.ambientKpa);
    if (faults.length === 0) complaints.push(...brokenComplaints(layout, raw, send.broken, `${at}.broken`));
    for (const fault of faults) {
      if (fault.key === "identity") continue; // said once already
      const here = complaint(`${path}.${fault.key}`, fault.found, fault.allowed);
      if (!complaints.some((other) => other.path === here.path)) complaints.push(here);
    }
  });
  return complaints;
}

/** @param raw Of every field: it tells how long the frame is where pulses differ. */
function brokenComplaints(layout: Layout, raw: RawByField, broken: Broken | undefined, path: string): Complaint[] {
  if (!broken) return [];
  const complaints: Complaint[] = [];
  const frameLength = frameSymbols(layout, frameBits(layout, raw)).length - leadSymbols(layout);
  for (const [key, length] of [["flipBits", layout.bits] as const, ["flipSymbols", frameLength] as const]) {
    const places = broken[key] ?? [];
    places.forEach((place, i) => {
      if (place >= length) complaints.push(complaint(`${path}.${key}[${i}]`, place, `0 to ${length - 1}`));
    });
    complaints.push(...twice(places).map((i) => complaint(`${path}.${key}[${i}]`, places[i], "each place once")));
  }
  const { cutSyncSymbols = 0, cutEndSymbols = 0 } = broken;
  const syncLength = layout.sync.symbols.length;
  if (cutSyncSymbols > syncLength) {
    complaints.push(complaint(`${path}.cutSyncSymbols`, cutSyncSymbols, `1 to ${syncLength}`));
  }
  if (cutEndSymbols > frameLength) {
    complaints.push(complaint(`${path}.cutEndSymbols`, cutEndSymbols, `1 to ${frameLength}`));
  }
  return complaints;
}

/** At most this long: pulses of two lengths are counted as the longer one. */
function sendSeconds(layout: Layout, sensor: Sensor, send: Send): number {
  const lead = layout.preamble.symbols.length * layout.preamble.repeat + layout.sync.symbols.length;
  const aBit = layout.pulse ? Math.max(layout.pulse.zero.length, layout.pulse.one.length) : symbolsPerBit(layout);
  const copySeconds = (lead + layout.bits * aBit) / layout.symbolRate;
  const copies = send.copies ?? layout.repeats?.count ?? 1;
  const gapSeconds = send.gapSeconds ?? layout.repeats?.gapSeconds ?? 0;
  return (copies * copySeconds + (copies - 1) * gapSeconds) / (1 + (sensor.clockPpm ?? 0) * 1e-6);
}

function eventComplaints({ durationSeconds, sensors, receiver }: Scenario, event: Event, path: string): Complaint[] {
  const complaints: Complaint[] = [];
  if ("atSeconds" in event && event.atSeconds >= durationSeconds) {
    complaints.push(complaint(`${path}.atSeconds`, event.atSeconds, `a time before the end, ${durationSeconds}`));
  }
  if ("toSeconds" in event) {
    if (event.toSeconds <= event.fromSeconds) {
      complaints.push(complaint(`${path}.toSeconds`, event.toSeconds, `a time after ${event.fromSeconds}`));
    }
    if (event.toSeconds > durationSeconds) {
      complaints.push(complaint(`${path}.toSeconds`, event.toSeconds, `a time up to the end, ${durationSeconds}`));
    }
  }
  if (event.kind === "fading" && !sensors.some(({ name }) => name === event.sensor)) {
    complaints.push(complaint(`${path}.sensor`, event.sensor, sensors.map(({ name }) => name).join(", ")));
  }
  if ("carrierHz" in event) {
    const half = receiver.sampleRateHz / 2;
    if (!receiver.tunings.some((tuning) => Math.abs(event.carrierHz - tuning.carrierHz) < half)) {
      const bands = receiver.tunings.map((tuning) => `${tuning.carrierHz} ± ${half}`).join(" or ");
      complaints.push(complaint(`${path}.carrierHz`, event.carrierHz, `a carrier in the band, ${bands}`));
    }
  }
  return complaints;
}

function gaugeComplaints({ gaugeLog, sensors }: Scenario): Complaint[] {
  if (!gaugeLog) return [];
  const readable = sensors.filter(({ pressureKpa, temperatureC }) => pressureKpa && temperatureC);
  if (readable.some(({ name }) => name === gaugeLog.sensor)) return [];
  const names = readable.map(({ name }) => name).join(", ");
  return [complaint("gaugeLog.sensor", gaugeLog.sensor, names || "a sensor with pressure and temperature over time")];
}
