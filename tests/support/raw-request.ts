import { type IncomingHttpHeaders, type IncomingMessage, request } from "node:http";

export interface Raw {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly text: string;
}

export interface RawAsking {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string | Uint8Array;
}

/** A request with headers that fetch would not send, or would send by itself; the answer may go on. */
export function rawBegun(port: number, path: string, { method = "GET", headers = {}, body = "" }: RawAsking = {}) {
  return new Promise<IncomingMessage>((resume, reject) => {
    const sent = request({ host: "127.0.0.1", port, method, path, headers, agent: false }, resume);
    sent.on("error", reject);
    sent.end(body);
  });
}

/** As `rawBegun`, read to its end. */
export async function raw(port: number, path: string, asking: RawAsking = {}): Promise<Raw> {
  const response = await rawBegun(port, path, asking);
  let text = "";
  for await (const part of response.setEncoding("utf8")) text += part;
  return { status: response.statusCode ?? 0, headers: response.headers, text };
}
