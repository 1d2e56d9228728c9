import type { DeviceAddedBody, DeviceBody, NetworkBody, PairingBody } from "../../server/http/wire/devices.ts";
import { type Answer, get, send } from "../api.ts";

export function network(): Promise<Answer<NetworkBody>> {
  return get("/network");
}

export function pairing(): Promise<Answer<PairingBody>> {
  return send("POST", "/pairings", { tellsSecret: true });
}

export function comeIn(code: string, name: string): Promise<Answer<DeviceAddedBody>> {
  return send("POST", "/devices", { json: { code, name }, tellsSecret: true });
}

export function devices(): Promise<Answer<readonly DeviceBody[]>> {
  return get("/devices");
}

export function renameDevice(id: string, name: string): Promise<Answer<DeviceBody>> {
  return send("PATCH", `/devices/${encodeURIComponent(id)}`, { json: { name } });
}

export function letGo(id: string): Promise<Answer<undefined>> {
  return send("DELETE", `/devices/${encodeURIComponent(id)}`, {});
}
