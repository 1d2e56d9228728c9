import { connect } from "node:net";
import { z } from "zod";

/** What a NATS server says of itself to whoever comes in. */
const Hello = z.looseObject({
  server_name: z.string(),
  version: z.string(),
  jetstream: z.boolean().optional(),
  connect_urls: z.array(z.string()).optional(),
});

export interface NatsHello {
  readonly name: string;
  readonly version: string;
  readonly keepsStreams: boolean;
}

const LONGEST_MS = 800;

/** @param server As `HOST:PORT`. @returns `undefined`: it does not answer. */
export function probeNats(server: string): Promise<NatsHello | undefined> {
  const at = server.lastIndexOf(":");
  return new Promise((resume) => {
    const socket = connect({ host: server.slice(0, at).replace(/^\[|\]$/g, ""), port: Number(server.slice(at + 1)) });
    const end = (hello: NatsHello | undefined) => {
      clearTimeout(timer);
      socket.destroy();
      resume(hello);
    };
    const timer = setTimeout(() => end(undefined), LONGEST_MS);
    let text = "";
    socket.on("error", () => end(undefined));
    socket.on("close", () => end(undefined));
    socket.on("data", (bytes) => {
      text += bytes.toString();
      const line = /^INFO (\{.*\})\s*\r\n/.exec(text);
      if (line?.[1]) end(helloOf(line[1]));
    });
  });
}

function helloOf(text: string): NatsHello | undefined {
  const said = Hello.safeParse(JSON.parse(text)).data;
  return said && { name: said.server_name, version: said.version, keepsStreams: said.jetstream === true };
}
