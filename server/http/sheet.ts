import { escaped, page } from "./page.ts";
import type { JobBody, WheelLineBody } from "./wire.ts";

export interface SheetContext {
  /** Receivers and recordings that were listened to, by name. */
  readonly heardBy: readonly string[];
  /** RFC 3339. */
  readonly printedAt: string;
  readonly version: string;
}

/** The hand-over sheet of a job as a page to print: who, what was found on each wheel, and what was not checked. */
export function jobSheet(job: JobBody, { heardBy, printedAt, version }: SheetContext): string {
  const about = [
    ["Job", job.id],
    ["Opened", job.createdAt.slice(0, 16).replace("T", " ")],
    ["Plate", job.plate],
    ["Vehicle", job.vehicle],
    ["Odometer", job.odometerKm === null ? "" : `${job.odometerKm} km`],
    ["Complaint", job.complaint],
    ["Placard, cold", placards(job)],
  ].map(([name, value]) => `<tr><th scope="row">${name}</th><td>${escaped(value || "not entered")}</td></tr>`);
  const others = job.others.map(
    ({ identity, gaugeKpa, carrierHz }) =>
      `<li><span class="id">${escaped(identity)}</span>, ${megahertz(carrierHz)}${gaugeKpa === null ? "" : `, ${kpa(gaugeKpa)}`}</li>`,
  );
  const listened =
    heardBy.length > 0
      ? `Listened to ${escaped(heardBy.join(", "))}.`
      : "Nothing was listened to: add a receiver or a recording to the job.";
  return page(
    `Hand-over sheet ${job.plate || job.id}`,
    `<h1>Hand-over sheet ${escaped(job.plate || job.id)}</h1>
<table>${about.join("")}</table>
<h2>Wheels</h2>
<div class="wide"><table>
<thead><tr><th scope="col">Wheel</th><th scope="col">Sensor ID</th><th scope="col" class="figure">Frequency</th><th scope="col" class="figure">Temperature</th><th scope="col">Battery</th><th scope="col" class="figure">Pressure</th><th scope="col">Finding</th></tr></thead>
<tbody>
${job.lines.map(wheelRow).join("\n")}
</tbody></table></div>
<p class="second">Pressures are gauge, as they were heard: a warm tyre shows more than the cold placard asks for.</p>
${others.length > 0 ? `<h2>Other sensors heard, on no wheel of this car</h2>\n<ul>${others.join("")}</ul>` : ""}
${job.unreadableBursts > 0 ? `<p>${bursts(job.unreadableBursts)} came in that no layout reads.</p>` : ""}
<h2>Not checked</h2>
<p>The tyres themselves, the wheel nuts, the vehicle's own receiver and what it has learned. A figure from a sensor does not say that a tyre is right.</p>
<h2>How it was measured</h2>
<p>${listened} Printed ${escaped(printedAt.slice(0, 16).replace("T", " "))} UTC by Wheelgram ${escaped(version)}.</p>`,
  );
}

function wheelRow(line: WheelLineBody): string {
  const heard = line.state === "heard";
  const cells = [
    `<th scope="row">${escaped(line.position)}</th>`,
    `<td class="id">${line.identity === null ? "none" : escaped(line.identity)}</td>`,
    `<td class="figure">${line.carrierHz === null ? "–" : megahertz(line.carrierHz)}</td>`,
    `<td class="figure">${line.temperatureC === null ? "–" : `${Math.round(line.temperatureC)} °C`}</td>`,
    `<td>${line.battery ?? "–"}</td>`,
    `<td class="figure">${line.gaugeKpa === null ? (heard ? "–" : line.state) : kpa(line.gaugeKpa)}</td>`,
    `<td>${STRENGTH_MARKS[line.strength]}${escaped(line.finding)}</td>`,
  ];
  return `<tr>${cells.join("")}</tr>`;
}

/** The same shapes as on the pages; a sheet is printed without colour. */
const STRENGTH_MARKS: Readonly<Record<WheelLineBody["strength"], string>> = {
  "as expected": "",
  "look here": "▲ Look here: ",
  stop: "■ Stop: ",
};

function placards(job: JobBody): string {
  const parts = [
    ["front", job.placardFrontKpa],
    ["rear", job.placardRearKpa],
    ["spare", job.placardSpareKpa],
  ] as const;
  return parts.flatMap(([where, value]) => (value === null ? [] : [`${where} ${kpa(value)}`])).join(", ");
}

function kpa(value: number): string {
  return `${value.toFixed(0)} kPa`;
}

function megahertz(carrierHz: number): string {
  return `${(carrierHz / 1e6).toFixed(2)} MHz`;
}

function bursts(count: number): string {
  return count === 1 ? "One burst" : `${count} bursts`;
}
