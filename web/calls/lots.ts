import type {
  LotBody,
  LotChangeBody,
  LotHeadBody,
  LotsComparedBody,
  RemovedLotBody,
  SpecimenMoreBody,
} from "../../server/http/wire/lots.ts";
import { type Answer, get, send } from "../api.ts";

export function lots(): Promise<Answer<readonly LotHeadBody[]>> {
  return get("/lots");
}

export function lot(id: string): Promise<Answer<LotBody>> {
  return get(of(id));
}

export function addLot(lot: LotChangeBody): Promise<Answer<LotBody>> {
  return send("POST", "/lots", { json: lot });
}

/** A problem of status 412: somebody else changed the lot after `revision`. */
export function changeLot(id: string, revision: number, change: LotChangeBody): Promise<Answer<LotBody>> {
  return send("PATCH", of(id), { json: change, revision });
}

export function removeLot(id: string, revision: number): Promise<Answer<undefined>> {
  return send("DELETE", of(id), { revision });
}

export function removedLots(): Promise<Answer<readonly RemovedLotBody[]>> {
  return get("/removed-lots");
}

export function restoreLot(id: string): Promise<Answer<LotBody>> {
  return send("POST", `/removed-lots/${encodeURIComponent(id)}/restore`, {});
}

/** Marks that a specimen is woken now. */
export function wakeSpecimen(id: string, number: number): Promise<Answer<LotBody>> {
  return send("POST", `${of(id)}/wakes`, { json: { number } });
}

export interface FillRead {
  readonly gaugeKpa: number;
  readonly temperatureC: number | null;
  /** Index of a set point. */
  readonly setPoint: number | null;
}

/** Writes down what the gauge shows now. */
export function addFill(id: string, fill: FillRead): Promise<Answer<LotBody>> {
  return send("POST", `${of(id)}/fills`, { json: fill });
}

/** Begins to listen for this lot, or ends it. */
export function listenForLot(id: string, on: boolean): Promise<Answer<LotBody>> {
  return send("POST", `${of(id)}/listening`, { json: { on } });
}

/** @param text A table of time, pressure and temperature. */
export function addLotGaugeLog(id: string, name: string, text: string): Promise<Answer<LotBody>> {
  return send("POST", `${of(id)}/gauge-logs`, { json: { name, text } });
}

export function removeLotGaugeLog(id: string, name: string): Promise<Answer<LotBody>> {
  return send("DELETE", `${of(id)}/gauge-logs/${encodeURIComponent(name)}`, {});
}

export interface GaugeLine {
  readonly path: string;
  readonly baudRate: number;
  /** Of a figure that names none. */
  readonly unit: "kPa" | "bar" | "psi";
}

/** Reads a gauge on a serial port. */
export function readGaugeLine(id: string, line: GaugeLine): Promise<Answer<LotBody>> {
  return send("PUT", `${of(id)}/gauge-line`, { json: line });
}

export function dropGaugeLine(id: string): Promise<Answer<LotBody>> {
  return send("DELETE", `${of(id)}/gauge-line`, {});
}

/** All that is known of one specimen. */
export function specimenMore(id: string, number: number): Promise<Answer<SpecimenMoreBody>> {
  return get(`${of(id)}/specimens/${number}`);
}

export function lotsCompared(id: string, other: string): Promise<Answer<LotsComparedBody>> {
  return get(`${of(id)}/compared?with=${encodeURIComponent(other)}`);
}

/** Where the record of a lot lies, to be opened or saved. */
export function lotFiles(id: string): Readonly<Record<"a4" | "letter" | "pdf" | "csv" | "json", string>> {
  const lot = `/api/v1${of(id)}`;
  return {
    a4: `${lot}/record?paper=a4`,
    letter: `${lot}/record?paper=letter`,
    pdf: `${lot}/record.pdf`,
    csv: `${lot}/export?as=csv`,
    json: `${lot}/export?as=json`,
  };
}

function of(id: string): string {
  return `/lots/${encodeURIComponent(id)}`;
}
