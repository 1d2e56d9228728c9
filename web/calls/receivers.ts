import type { QuarantineBody, ReceiverBody, ReceiverNewBody, SerialPortBody } from "../../server/http/wire.ts";
import { type Answer, get, send } from "../api.ts";

export function receivers(): Promise<Answer<readonly ReceiverBody[]>> {
  return get("/receivers");
}

export function addReceiver(receiver: ReceiverNewBody): Promise<Answer<ReceiverBody>> {
  return send("POST", "/receivers", { json: receiver });
}

export function renameReceiver(id: string, name: string): Promise<Answer<ReceiverBody>> {
  return send("PATCH", `/receivers/${encodeURIComponent(id)}`, { json: { name } });
}

export function removeReceiver(id: string): Promise<Answer<undefined>> {
  return send("DELETE", `/receivers/${encodeURIComponent(id)}`, {});
}

/** Lines that did not fit, newest first. */
export function quarantined(): Promise<Answer<readonly QuarantineBody[]>> {
  return get("/quarantine");
}

export function serialPorts(): Promise<Answer<readonly SerialPortBody[]>> {
  return get("/serial-ports");
}
