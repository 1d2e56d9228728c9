import { createHmac } from "node:crypto";
import type { StoredTelegram } from "../store/store.ts";
import type { Visit } from "./jobExport.ts";
import type { SharePartBody } from "./wire/share.ts";

/** What is left out for sharing, unless somebody says otherwise. */
export interface ShareSwitches {
  /** Sensors under other names, the same ones in every bundle of this house. */
  readonly pseudonyms: boolean;
  /** Without plate, complaint, names, notes, and the names of receivers. */
  readonly withoutPlate: boolean;
  /** Without where it was. */
  readonly withoutPlace: boolean;
}

export interface Bundle {
  /** What is in it and what is not, in words. */
  readonly parts: readonly SharePartBody[];
  readonly text: string;
}

/**
 * A visit for somebody else: how its sensors were heard, and what was found.
 *
 * @param secret Of this house: without it nobody can tell which sensor stands behind a pseudonym by trying all of them.
 */
export function shareBundle(visit: Visit, switches: ShareSwitches, secret: string): Bundle {
  const { job } = visit;
  const ids = new Set<string>();
  for (const id of [
    ...visit.telegrams.map(({ identity }) => identity),
    ...job.wheels.flatMap(({ identity, replaced }) => [identity, replaced?.oldIdentity ?? null]),
    ...[...job.lines, ...job.others, ...job.readBack].map(({ identity }) => identity),
  ]) {
    if (id) ids.add(id);
  }
  const renamed = (text: string) => {
    if (!switches.pseudonyms) return text;
    let all = text;
    for (const id of ids) all = all.replaceAll(new RegExp(escaped(id), "gi"), nameOf(id, secret));
    return all;
  };
  const told = {
    format: "wheelgram-share",
    version: 1,
    job: {
      kind: job.kind,
      odometerKm: job.odometerKm,
      visit: job.visit,
      placardFrontKpa: job.placardFrontKpa,
      placardRearKpa: job.placardRearKpa,
      placardSpareKpa: job.placardSpareKpa,
      ambientC: job.ambientC,
      expectedCarrierHz: job.expectedCarrierHz,
      expectedLayout: job.expectedLayout,
      ...(switches.withoutPlace ? {} : { ambientKpa: job.ambientKpa, altitudeM: job.altitudeM }),
      ...(switches.withoutPlate ? {} : textsOf(job)),
      wheels: job.wheels.map(({ position, identity, handGaugeKpa }) => ({ position, identity, handGaugeKpa })),
      lines: job.lines,
    },
    runs: visit.runs,
    telegrams: visit.telegrams.map((one) => telegramOf(one, switches)),
  };
  const parts: SharePartBody[] = [
    { what: `${visit.telegrams.length} telegrams: time, layout, carrier, level, fields`, isIn: true },
    { what: `${job.lines.length} wheels: pressure, temperature, battery, finding`, isIn: true },
    { what: "placard, kind of vehicle, odometer, outside temperature", isIn: true },
    { what: `${ids.size} IDs of sensors, and the bits that hold them`, isIn: !switches.pseudonyms },
    { what: "plate, vehicle, complaint, names, everything that was typed as text", isIn: !switches.withoutPlate },
    { what: "altitude and outside pressure, which tell where it was", isIn: !switches.withoutPlace },
    { what: "samples of recordings, which hold the IDs whatever is said here", isIn: false },
  ];
  return { parts, text: `${renamed(JSON.stringify(told, undefined, 2))}\n` };
}

/** Never with the name of what it was heard on, which people gave. */
function telegramOf({ id: _, on: __, telegram: whole, ...told }: StoredTelegram, { pseudonyms }: ShareSwitches) {
  const { file: ___, bits, fields, ...telegram } = whole;
  if (!pseudonyms) return { ...told, telegram: { ...telegram, bits, fields } };
  // A field that says the identity is known by its value; its raw number says the same.
  const others = Object.entries(fields).map(([name, field]) =>
    field.value === told.identity ? [name, { value: field.value }] : [name, field],
  );
  return { ...told, telegram: { ...telegram, fields: Object.fromEntries(others) } };
}

/** What people typed. */
function textsOf(job: Visit["job"]) {
  const {
    plate,
    vehicle,
    complaint,
    finding,
    cause,
    done,
    advised,
    notChecked,
    vehicleNotes,
    codesBefore,
    codesAfter,
  } = job;
  return {
    plate,
    vehicle,
    complaint,
    finding,
    cause,
    done,
    advised,
    notChecked,
    vehicleNotes,
    codesBefore,
    codesAfter,
  };
}

function nameOf(identity: string, secret: string): string {
  return `sensor-${createHmac("sha256", secret).update(identity.toLowerCase()).digest("hex").slice(0, 8)}`;
}

function escaped(text: string): string {
  return text.replace(/[^a-z0-9]/gi, "\\$&");
}
