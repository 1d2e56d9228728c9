import type {
  QuarantineBody,
  ReceiverBody,
  ReceiverDayBody,
  ReceiverNewBody,
  SelfCheckBody,
  SerialPortBody,
} from "../../server/http/wire.ts";
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

/** A key that is told once, and lets the receiver in from the network. */
export function makeReceiverKey(id: string): Promise<Answer<{ readonly key: string }>> {
  return send("POST", `/receivers/${encodeURIComponent(id)}/key`, { tellsSecret: true });
}

export function dropReceiverKey(id: string): Promise<Answer<undefined>> {
  return send("DELETE", `/receivers/${encodeURIComponent(id)}/key`, {});
}

/** Takes some seconds, unless something is heard sooner. */
export function selfCheck(id: string): Promise<Answer<SelfCheckBody>> {
  return send("POST", `/receivers/${encodeURIComponent(id)}/self-check`, { json: {} });
}

export function receiverDay(id: string): Promise<Answer<ReceiverDayBody>> {
  return get(`/receivers/${encodeURIComponent(id)}/day`);
}

/** Lines that did not fit, newest first. */
export function quarantined(): Promise<Answer<readonly QuarantineBody[]>> {
  return get("/quarantine");
}

/** Those that nobody listens to. */
export function freePorts(): Promise<Answer<readonly SerialPortBody[]>> {
  return get("/serial-ports/free");
}

export function serialPorts(): Promise<Answer<readonly SerialPortBody[]>> {
  return get("/serial-ports");
}
