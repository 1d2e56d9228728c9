import type { Socket } from "node:net";

/** Whether whoever is connected sits at this computer. */
export function isFromHere({ remoteAddress = "" }: Pick<Socket, "remoteAddress">): boolean {
  return /^(127\.|::1$|::ffff:127\.)/.test(remoteAddress);
}
