import type { Socket } from "node:net";
import { z } from "zod";
import type { LiveTold } from "../../decoders/frames/teller.ts";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import type { Capture } from "../../decoders/sources.ts";
import { firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { parseMetadata } from "../recordings/metadata.ts";
import { sampleBytes } from "../recordings/recording.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import type { SampleStream } from "../work/messages.ts";
import type { SamplesSession } from "../work/pool.ts";
import { MAX_LINE_BYTES } from "./line.ts";
import type { LinkHouse } from "./link.ts";
import { createSamplesPace } from "./samplesPace.ts";
import { isBrokenOff, listen, type TcpLink } from "./tcpLink.ts";
import { nanosecondsOf } from "./timeOfDay.ts";

/** What a stream of samples says of itself in its first line. */
export interface Announced extends SampleStream {
  readonly receiver: string;
  /** Of the first sample, RFC 3339; `undefined` where the stream does not say. */
  readonly startedAt: string | undefined;
}

export interface SamplesHouse extends Omit<LinkHouse, "open"> {
  readonly begin: (announced: Announced) => SamplesSession;
  /** A first line that does not fit. */
  readonly putAside: (line: string, fault: InputError) => Promise<void>;
}

export type OnTold = (told: readonly LiveTold[]) => void;

/** Listens on a port for live I/Q: a line that announces it, then samples without end. */
export function samplesLink(house: SamplesHouse, port: number): Promise<TcpLink> {
  return listen(house, port, (socket) => takeSamples(house, socket));
}

async function takeSamples(house: SamplesHouse, socket: Socket): Promise<void> {
  let session: SamplesSession | undefined;
  let head: Buffer = Buffer.alloc(0);
  try {
    const chunks: AsyncIterable<Buffer> = socket;
    for await (const chunk of chunks) {
      if (session) {
        await session.push(chunk);
        continue;
      }
      head = Buffer.concat([head, chunk]);
      const end = head.indexOf(0x0a);
      if (end < 0 && head.length <= MAX_LINE_BYTES) continue;
      const line = head.subarray(0, end < 0 ? MAX_LINE_BYTES : end);
      const announced =
        end < 0
          ? fail(
              new InputError(
                "live samples",
                "the first line",
                `${head.length} bytes without an end`,
                `at most ${MAX_LINE_BYTES}`,
              ),
            )
          : parseAnnouncement(line);
      if (!announced.ok) return await refuse(house, socket, line, announced.error);
      session = watched(house, announced.value);
      if (head.length > end + 1) await session.push(head.subarray(end + 1));
      head = Buffer.alloc(0);
    }
  } catch (error) {
    if (!isBrokenOff(error)) throw error;
  }
  if (session) await session.end();
  else if (head.length > 0) {
    await house.putAside(
      lineText(head),
      new InputError("live samples", "the first line", "half a line", "a whole one"),
    );
  }
}

/** A session that says so when samples are dropped on the way, or cannot be decoded as fast as they come. */
function watched(house: SamplesHouse, announced: Announced): SamplesSession {
  const session = house.begin(announced);
  const size = sampleBytes(announced.sampleType);
  const pace = createSamplesPace(announced.sampleRateHz, () => performance.now());
  return {
    async push(bytes) {
      const began = performance.now();
      await session.push(bytes);
      const says = pace.note(bytes.length / size, performance.now() - began);
      if (says !== undefined) house.say("listening", says || "Samples come in as announced again.");
    },
    end: session.end,
  };
}

async function refuse(house: SamplesHouse, socket: Socket, line: Uint8Array, fault: InputError): Promise<void> {
  await house.putAside(lineText(line), fault);
  const answer = JSON.stringify({ type: "error", because: fault.message, path: fault.where });
  await new Promise<void>((resume) => socket.end(`${answer}\n`, () => resume()));
  throw fault;
}

function lineText(line: Uint8Array): string {
  return new TextDecoder().decode(line.subarray(0, 8000)).slice(0, 2000);
}

const Announcement = z.looseObject({
  type: z.literal("samples"),
  receiver: z.string().min(1).max(200),
  global: z.looseObject({}),
  captures: z.array(z.looseObject({ "core:datetime": z.string().optional() })).min(1),
});

/** The first line, checked. `global` and `captures` are those of SigMF; what else they hold is no fault. */
function parseAnnouncement(line: Uint8Array): Result<Announced, InputError> {
  const json = readJson(line);
  if (!json.ok) {
    return fail(new InputError("live samples", `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  }
  const parsed = Announcement.safeParse(json.value);
  if (!parsed.success) return fail(firstComplaint("live samples", complaintsOf(parsed.error, json.value)));
  const metadata = parseMetadata("live samples", line);
  if (!metadata.ok) return metadata;
  const { global, captures } = metadata.value;
  const offset = global["core:offset"] ?? 0;
  const first = parsed.data.captures[0]?.["core:datetime"];
  return succeed({
    receiver: parsed.data.receiver,
    name: parsed.data.receiver,
    sampleType: global["core:datatype"],
    sampleRateHz: global["core:sample_rate"],
    captures: captures.map(
      (capture): Capture => ({
        sampleStart: capture["core:sample_start"] - offset,
        carrierHz: capture["core:frequency"],
      }),
    ),
    startedAt: first !== undefined && nanosecondsOf(first) !== undefined ? first : undefined,
  });
}
