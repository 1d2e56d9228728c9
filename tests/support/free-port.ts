import { createServer } from "node:net";

/** A TCP port of this machine that nobody had a moment ago. */
export async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resume) => server.listen(0, "127.0.0.1", resume));
  const address = server.address();
  await new Promise((resume) => server.close(resume));
  if (address === null || typeof address === "string") throw new Error("a port has no number");
  return address.port;
}
