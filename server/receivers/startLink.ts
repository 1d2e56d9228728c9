import type { StoredReceiver } from "../store/store.ts";
import type { Link, LinkHouse } from "./link.ts";
import { replayLink } from "./replayLink.ts";
import { type SamplesHouse, samplesLink } from "./samplesLink.ts";
import { serialLink } from "./serialLink.ts";
import { type LineStream, streamLink } from "./streamLink.ts";
import { tcpLink } from "./tcpLink.ts";

/** A link of any kind; a port and a baud rate only where it has them. */
export interface AnyLink extends Link {
  readonly port?: () => number | undefined;
  readonly setBaudRate?: (baudRate: number) => Promise<void>;
}

export interface StartHouse extends LinkHouse, Omit<SamplesHouse, "open" | keyof LinkHouse> {
  /** `undefined`: nothing is piped in. */
  readonly standardInput: LineStream | undefined;
  readonly openToNetwork: boolean;
}

/** Starts the link that a receiver was set up with; settles when it is known how that went. */
export async function startLink(receiver: StoredReceiver, house: StartHouse): Promise<AnyLink> {
  switch (receiver.kind) {
    case "serial":
      return serialLink(house, receiver.path ?? "", receiver.baudRate ?? 115_200);
    case "tcp":
      return tcpLink(house, receiver.port ?? 0, house.openToNetwork ? receiver.keyHash : null);
    case "samples":
      return samplesLink(house, receiver.port ?? 0);
    case "replay":
      return replayLink(house, receiver.path ?? "", receiver.speed ?? 1);
    case "stdin":
      return house.standardInput ? streamLink(house, "Standard input", house.standardInput) : notPiped(house);
  }
}

function notPiped(house: LinkHouse): AnyLink {
  house.say("stopped", "Nothing is piped in. Start the server behind a program: YOUR_RECEIVER | wheelgram serve -");
  return { stop: () => Promise.resolve() };
}
