import { SerialPort } from "serialport";
import type { SerialPortBody } from "./wire.ts";

/** What the system has of serial ports, in plain words. One that it does not list can still be opened by its path. */
export async function serialPorts(): Promise<SerialPortBody[]> {
  const ports = await SerialPort.list();
  return ports.map((port) => {
    const friendly = "friendlyName" in port && typeof port.friendlyName === "string" ? port.friendlyName : undefined;
    const words = friendly ?? port.manufacturer ?? "serial port";
    return { path: port.path, name: `${words} at ${port.path}` };
  });
}
