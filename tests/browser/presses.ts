import { connect } from "node:net";
import type { ReceiverBody } from "../../server/http/wire.ts";
import type { House } from "./house.ts";
import { addTcpReceiver, postJson } from "./http.ts";
import { connectReceiver, type Receiver } from "./receiver.ts";

/** A receiver of lines that hears what somebody presses. */
export interface PressReceiver {
  /** Sends ten presses, three seconds apart and all in the past, each with two copies, of so many dB over the noise. */
  readonly press: (levels: readonly number[]) => Promise<void>;
  readonly close: () => void;
}

export async function pressReceiver(house: House, name: string): Promise<PressReceiver> {
  const { port } = await addTcpReceiver(house, name);
  const receiver: Receiver = await connectReceiver(port);
  await receiver.send([
    JSON.stringify({
      type: "hello",
      receiver: name,
      protocol: 1,
      boot: `${name} ${Date.now()}`,
      carrierHz: [433_920_000],
    }),
  ]);
  let sequence = 0;
  return {
    press: (levels) => {
      const firstMs = Date.now() - 3000 * levels.length;
      const lines = levels.flatMap((level, i) => [0, 100].map((laterMs) => line(level, firstMs + 3000 * i + laterMs)));
      return receiver.send(lines);
    },
    close: receiver.close,
  };

  function line(level: number, atMs: number): string {
    sequence++;
    return JSON.stringify({
      type: "burst",
      sequence,
      at: new Date(atMs).toISOString(),
      carrierHz: 433_920_000,
      offsetHz: 5400,
      modulation: "ask",
      symbolRate: 2000,
      symbols: "aaaaaaaad3f0915c", // of no layout
      symbolCount: 64,
      rssiDbm: -100 + level,
      noiseDbm: -100,
    });
  }
}

const RATE_HZ = 250_000;
const BURST_SECONDS = 0.064;
const APART_SECONDS = 2;
const SYMBOL_SAMPLES = RATE_HZ / 2000;

/**
 * Sends live samples of presses: on and off keyed, 5 kHz beside the middle, over a little noise.
 *
 * @param amplitude Of full scale; above 1 the receiver cuts it off.
 */
export async function sendSamples(house: House, name: string, count: number, amplitude: number): Promise<() => void> {
  const { port } = await postJson<ReceiverBody>(house, "/receivers", { name, kind: "samples", port: 0 });
  if (port === null) throw new Error("the receiver was given no port");
  const socket = connect(port, "127.0.0.1");
  await new Promise<void>((resume, fail) => socket.once("connect", resume).once("error", fail));
  socket.on("error", () => undefined);
  const announced = {
    type: "samples",
    receiver: name,
    global: { "core:datatype": "ci8", "core:sample_rate": RATE_HZ, "core:version": "1.2.0" },
    captures: [{ "core:sample_start": 0, "core:frequency": 433_920_000 }],
  };
  socket.write(`${JSON.stringify(announced)}\n`);
  socket.write(samples(count, amplitude));
  return () => socket.destroy();
}

function samples(count: number, amplitude: number): Uint8Array {
  const perPress = RATE_HZ * APART_SECONDS;
  const bytes = new Int8Array(2 * perPress * count + 2 * RATE_HZ);
  let seed = 1;
  const noise = () => {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) >>> 0;
    return seed / 2 ** 31 - 1;
  };
  const on =
    "10101010101010101100101101001011001011010011010010110100110101001011010010110100101101001011010010110100101101001";
  for (let i = 0; i < bytes.length / 2; i++) {
    const since = (i % perPress) - RATE_HZ / 2;
    const inPress = i < perPress * count && since >= 0 && since < BURST_SECONDS * RATE_HZ;
    const level = inPress && on[Math.floor(since / SYMBOL_SAMPLES) % on.length] === "1" ? amplitude : 0;
    const turn = (2 * Math.PI * 5000 * i) / RATE_HZ;
    bytes[2 * i] = cut(127 * level * Math.cos(turn) + 2 * noise());
    bytes[2 * i + 1] = cut(127 * level * Math.sin(turn) + 2 * noise());
  }
  return new Uint8Array(bytes.buffer);
}

function cut(value: number): number {
  return Math.min(127, Math.max(-128, Math.round(value)));
}
