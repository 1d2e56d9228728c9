import { connect, type IClientPublishOptions, type MqttClient } from "mqtt";
import type { Store, StoredEvent } from "../store/store.ts";
import type { Events } from "./events.ts";
import type { MqttSettings } from "./mqttSettings.ts";
import type { JobBody } from "./wire.ts";

export interface MqttOut {
  /** Tells that we go, and closes. */
  readonly stop: () => Promise<void>;
}

export interface MqttHouse {
  readonly events: Pick<Events, "listen">;
  readonly store: Pick<Store, "setting" | "setSetting">;
  /** A job with what was found at its wheels; `undefined` where it is gone. */
  readonly job: (id: string) => Promise<JobBody | undefined>;
  readonly log: (entry: string) => void;
}

const LAST = "mqtt last event";
/** Messages on their way at once. */
const MOST_UNDER_WAY = 50;
const SURE: IClientPublishOptions = { qos: 1 };
const KEPT: IClientPublishOptions = { qos: 1, retain: true };
const LAST_EVERY_MS = 2000;

/**
 * Tells a broker of telegrams, of what was found at the wheels of jobs, and of receivers, under `PREFIX/v1/`:
 * `status` (online or offline, the last will), `receivers/ID` and `findings/JOB` are retained, `telegrams/RECEIVER` is
 * not. What happens while the broker is away is told when it is there again, as far as events are kept. Each message
 * comes at least once; a telegram's id and revision tell one that comes again.
 *
 * @source MQTT 3.1.1, OASIS Standard, sections 3.1.2.5 (will), 3.3.1.3 (retain), 4.3.2 (QoS 1), 4.7 (topic names).
 */
export async function startMqtt(house: MqttHouse, settings: MqttSettings): Promise<MqttOut> {
  const { events, store, log } = house;
  const topic = (...levels: string[]) => [settings.prefix, "v1", ...levels.map(safeLevel)].join("/");
  const { url, username, password } = settings;
  const { host } = new URL(url); // what else is in it may be a password
  let last = Number((await store.setting(LAST)) ?? 0) || undefined;
  let written = last;
  // Events that were told and not yet acknowledged; what came before the first of them is done.
  const underWay = new Set<number>();
  let highest = last ?? 0;
  let room: (() => void) | undefined;
  let hasSaid = false;
  const client: MqttClient = connect(url, {
    reconnectPeriod: 3000,
    queueQoSZero: false,
    will: { topic: topic("status"), payload: Buffer.from("offline"), qos: 1, retain: true },
    ...(username === undefined ? {} : { username }),
    ...(password === undefined ? {} : { password }),
  });

  async function tell({ number, type, text }: StoredEvent): Promise<void> {
    underWay.add(number);
    highest = Math.max(highest, number);
    try {
      const message = await messageOf(type, JSON.parse(text));
      if (message) await client.publishAsync(message.topic, message.text, message.how);
      underWay.delete(number);
      last = underWay.size > 0 ? Math.min(...underWay) - 1 : highest;
    } catch {
      underWay.delete(number); // the connection is gone, and with the next one it is told again
    }
    if (underWay.size < MOST_UNDER_WAY) room?.();
  }

  async function messageOf(type: StoredEvent["type"], body: unknown) {
    if (!isObject(body)) return undefined;
    const id = String(body["id"]);
    switch (type) {
      case "telegram": {
        const heardOn = body["receiverId"];
        if (typeof heardOn !== "string") return undefined;
        return { topic: topic("telegrams", heardOn), text: JSON.stringify(body), how: SURE };
      }
      case "receiver":
        return { topic: topic("receivers", id), text: JSON.stringify(body), how: KEPT };
      case "job": {
        const job = await house.job(id);
        // An empty message takes the retained one away; of a card only what was found goes out, never whose it is.
        return { topic: topic("findings", id), text: job ? JSON.stringify(findingsOf(job)) : "", how: KEPT };
      }
      default:
        return undefined;
    }
  }

  async function listen(): Promise<void> {
    let isHere = true;
    client.once("close", () => {
      isHere = false;
      room?.();
    });
    client.publish(topic("status"), "online", KEPT);
    const stop = await events.listen(last, {
      tell: (event) => void tell(event),
      begin: (number) => {
        last = number;
        highest = number;
      },
      end: () => undefined,
      async room() {
        while (isHere && underWay.size >= MOST_UNDER_WAY) {
          await new Promise<void>((resume) => {
            room = resume;
          });
        }
        return isHere;
      },
    });
    if (isHere) client.once("close", stop);
    else stop();
  }

  client.on("connect", () => {
    if (hasSaid) log(`MQTT: ${host} answers again.`);
    hasSaid = false;
    void listen().catch((error: unknown) => log(`MQTT: ${String(error)}`));
  });
  client.on("error", (error) => {
    if (!hasSaid) log(`MQTT: ${host}: ${error.message || "it does not answer"}. It is tried again every 3 seconds.`);
    hasSaid = true;
  });
  const timer = setInterval(() => void keepLast(), LAST_EVERY_MS);
  timer.unref();

  async function keepLast(): Promise<void> {
    if (last === written || last === undefined) return;
    written = last;
    await store.setSetting(LAST, String(last)).catch(() => undefined); // it is then told again, which harms nobody
  }

  return {
    async stop() {
      clearInterval(timer);
      if (client.connected) await client.publishAsync(topic("status"), "offline", KEPT).catch(() => undefined);
      await client.endAsync(!client.connected);
      await keepLast();
    },
  };
}

/** A name as one level of a topic: without what parts or stands for levels. */
function safeLevel(name: string): string {
  return name.replace(/[/+#\s]/g, "_");
}

function findingsOf({ id, revision, lines }: JobBody) {
  return {
    job: id,
    revision,
    wheels: lines.map(({ position, state, finding }) => ({ position, state, finding })),
  };
}

function isObject(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
