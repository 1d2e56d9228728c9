import type { Request } from "express";
import { z } from "zod";
import { hashOfSecret, newSecret } from "../../receivers/secret.ts";
import type { ReceiverStateSince } from "../../store/store.ts";
import { timeText } from "../../store/timeText.ts";
import { askerOf, refuseFromNetwork } from "../guard.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import {
  QuarantineBody,
  ReceiverBody,
  ReceiverChangeBody,
  ReceiverDayBody,
  ReceiverKeyBody,
  ReceiverNewBody,
  SelfCheckAskedBody,
  SelfCheckBody,
  SerialPortBody,
} from "../wire.ts";

const QuarantineQuery = z.strictObject({
  receiver: z.string().max(64).optional(),
  limit: z.int().min(1).max(1000).optional(),
});

/** Lines put aside that are shown where nobody says how many. */
const LIMIT = 200;

/** How long a receiver is looked at where nobody says how long. */
const CHECK_SECONDS = 10;
const KEY_BYTES = 32;
const DAY_MS = 24 * 3600 * 1000;

/** Each state with its end; the first is cut where the day begins. */
function stretches(states: readonly ReceiverStateSince[], from: string, to: string) {
  return states.map(({ since, state }, i) => ({
    since: since < from ? from : since,
    until: states[i + 1]?.since ?? to,
    state,
  }));
}

/** Which entries of a change mean anything to a kind of receiver. */
const CHANGES: Readonly<Record<ReceiverBody["kind"], readonly string[]>> = {
  serial: ["name", "path", "baudRate"],
  tcp: ["name", "port"],
  samples: ["name", "port"],
  replay: ["name", "path"],
  stdin: ["name"],
};

/** A serial port that the system knows of. */
export interface ListedPort {
  readonly path: string;
  readonly label: string;
}

export function receiverRoutes(
  { store, hub, stamp }: House,
  listSerialPorts: () => Promise<readonly ListedPort[]>,
): readonly Route[] {
  async function receiverOf(id: string | undefined) {
    const receiver = await hub.receiver(id ?? "");
    if (receiver) return receiver;
    throw new Problem("not-found", `There is no receiver ${id}.`, { nextSteps: ["See the list at /receivers."] });
  }

  /** One of this server, which has its port or its device. */
  async function ownOf(id: string | undefined) {
    const receiver = await receiverOf(id);
    const server = await hub.elsewhere(receiver.id);
    if (server === undefined) return receiver;
    throw new Problem("conflict", `Receiver ${receiver.name} belongs to server ${server} of the fleet.`, {
      nextSteps: [`Do it on the pages of server ${server}.`],
    });
  }

  /**
   * A path opens a file of this computer, and what stands in it can be read among the lines that did not fit. So from the
   * network only a serial port is taken that the system itself lists.
   */
  async function refusePathFromNetwork(request: Request, kind: ReceiverBody["kind"], path: string | undefined) {
    if (path === undefined || askerOf(request).kind === "here") return;
    const ports = kind === "serial" ? await listSerialPorts().catch(() => []) : [];
    if (!ports.some((port) => port.path === path)) refuseFromNetwork(request);
  }

  return [
    route({
      method: "get",
      path: "/receivers",
      summary: "All receivers and how they fare",
      answers: { 200: { says: "The receivers; none is an empty list.", body: z.array(ReceiverBody) } },
      handle: async () => ({ status: 200, body: await hub.receivers() }),
    }),
    route({
      method: "post",
      path: "/receivers",
      summary: "Set up a receiver",
      notes:
        "Kinds: serial; tcp, where we listen (port 0: any free one, told in the answer); samples, live I/Q; replay of a file of lines.",
      body: ReceiverNewBody,
      answers: {
        201: {
          says: "It is set up; its sentence says how it fares.",
          body: ReceiverBody,
          headers: { Location: "its address" },
        },
      },
      problems: ["only-here"],
      async handle({ body, request }) {
        await refusePathFromNetwork(request, body.kind, "path" in body ? body.path : undefined);
        const receiver = await hub.add(body);
        return { status: 201, body: receiver, headers: { Location: `/api/v1/receivers/${receiver.id}` } };
      },
    }),
    route({
      method: "get",
      path: "/receivers/{id}",
      summary: "One receiver, with its gaps",
      answers: { 200: { says: "The receiver.", body: ReceiverBody } },
      problems: ["not-found"],
      handle: async ({ params }) => ({ status: 200, body: await receiverOf(params["id"]) }),
    }),
    route({
      method: "patch",
      path: "/receivers/{id}",
      summary: "Change a receiver; what it said before stays",
      body: ReceiverChangeBody,
      answers: { 200: { says: "The receiver as it is now.", body: ReceiverBody } },
      problems: ["not-found", "conflict", "only-here"],
      async handle({ params, body, request }) {
        const { id, kind } = await ownOf(params["id"]);
        await refusePathFromNetwork(request, kind, body.path);
        const foreign = Object.keys(body).filter((key) => !CHANGES[kind].includes(key));
        if (foreign.length > 0) {
          const allowed = `of a ${kind} receiver only ${CHANGES[kind].join(", ")}`;
          throw new Problem("not-fitting", "The body does not fit.", {
            complaints: foreign.map((path) => ({ path, found: "a new value", allowed })),
          });
        }
        const { name, path, baudRate, port } = body;
        const changed = await hub.change(id, {
          ...(name === undefined ? {} : { name }),
          ...(path === undefined ? {} : { path }),
          ...(baudRate === undefined ? {} : { baudRate }),
          ...(port === undefined ? {} : { port }),
        });
        return { status: 200, body: changed ?? (await receiverOf(id)) };
      },
    }),
    route({
      method: "delete",
      path: "/receivers/{id}",
      summary: "Remove a receiver; what it said stays",
      answers: { 204: { says: "It is no longer set up." } },
      problems: ["not-found", "conflict"],
      async handle({ params }) {
        const { id } = await ownOf(params["id"]);
        await hub.remove(id);
        return { status: 204 };
      },
    }),
    route({
      method: "post",
      path: "/receivers/{id}/self-check",
      summary: "Climb the first three rungs of the check ladder with a receiver",
      notes: `Looks at what it hears for ?seconds of the body, ${CHECK_SECONDS} where they are left out, and answers sooner when a burst came in.`,
      body: SelfCheckAskedBody,
      answers: { 200: { says: "What it showed; it is kept as the receiver's last self-check.", body: SelfCheckBody } },
      problems: ["not-found", "conflict"],
      async handle({ params, body: { seconds = CHECK_SECONDS } }) {
        const { id } = await ownOf(params["id"]);
        const checked = await hub.selfCheck(id, seconds);
        if (!checked) throw new Problem("not-found", `There is no receiver ${id}.`);
        return { status: 200, body: checked };
      },
    }),
    route({
      method: "post",
      path: "/receivers/{id}/key",
      tellsSecret: true,
      summary: "Let a TCP receiver in from the network, by a key that it says in its hello",
      notes:
        "The key is told once. A new one takes the place of the old. It counts while the server is open to the network.",
      answers: { 201: { says: "Its key.", body: ReceiverKeyBody } },
      problems: ["not-found", "conflict", "only-here"],
      async handle({ params, request }) {
        refuseFromNetwork(request);
        const { id, kind } = await ownOf(params["id"]);
        if (kind !== "tcp") throw new Problem("conflict", `A ${kind} receiver does not come in from the network.`);
        const key = newSecret(KEY_BYTES);
        await hub.change(id, { keyHash: hashOfSecret(key) });
        return { status: 201, body: { key } };
      },
    }),
    route({
      method: "delete",
      path: "/receivers/{id}/key",
      summary: "Let a receiver in from this computer only, as at first",
      answers: { 204: { says: "Its key opens nothing any more." } },
      problems: ["not-found", "conflict", "only-here"],
      async handle({ params, request }) {
        refuseFromNetwork(request);
        const { id } = await ownOf(params["id"]);
        await hub.change(id, { keyHash: null });
        return { status: 204 };
      },
    }),
    route({
      method: "get",
      path: "/receivers/{id}/day",
      summary: "How a receiver fared over the last 24 hours",
      answers: { 200: { says: "Its states.", body: ReceiverDayBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const { id } = await receiverOf(params["id"]);
        const to = stamp();
        const from = timeText(new Date(Date.parse(to) - DAY_MS).toISOString());
        const states = await store.receiverStates(id, from);
        return { status: 200, body: { from, to, states: stretches(states, from, to) } };
      },
    }),
    route({
      method: "get",
      path: "/quarantine",
      summary: "Lines that did not fit, newest first",
      notes: `?limit is ${LIMIT} where it is left out.`,
      query: QuarantineQuery,
      answers: { 200: { says: "The lines; none is an empty list.", body: z.array(QuarantineBody) } },
      problems: ["not-fitting"],
      async handle({ query: { receiver, limit = LIMIT } }) {
        return { status: 200, body: await store.quarantined(receiver, limit) };
      },
    }),
    route({
      method: "get",
      path: "/serial-ports/free",
      summary: "Serial ports that are plugged in and that no receiver is set up on",
      answers: {
        200: { says: "The ports; none where the system does not list them.", body: z.array(SerialPortBody) },
      },
      async handle() {
        const ports = await listSerialPorts().catch(() => []);
        const receivers = await hub.receivers();
        const isTaken = (path: string) => receivers.some((one) => one.kind === "serial" && one.path === path);
        const free = ports.filter(({ path }) => !isTaken(path));
        return { status: 200, body: free.map(({ path, label }) => ({ path, name: label })) };
      },
    }),
    route({
      method: "get",
      path: "/serial-ports",
      summary: "Serial ports that this computer has",
      notes: "One that is not listed can still be used by its path.",
      answers: { 200: { says: "The ports; none is an empty list.", body: z.array(SerialPortBody) } },
      problems: ["not-now"],
      async handle() {
        try {
          const ports = await listSerialPorts();
          return { status: 200, body: ports.map(({ path, label }) => ({ path, name: label })) };
        } catch (error) {
          const because = error instanceof Error ? error.message : String(error);
          throw new Problem("not-now", `The system does not list its serial ports: ${because}.`, {
            nextSteps: ["Type the port's path, such as /dev/ttyUSB0 or COM3."],
          });
        }
      },
    }),
  ];
}
