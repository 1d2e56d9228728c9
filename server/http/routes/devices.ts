import { z } from "zod";
import type { StoredDevice } from "../../store/store.ts";
import type { Access } from "../access.ts";
import { askerOf, type Bound, deviceCookie, refuseFromNetwork } from "../guard.ts";
import { addressesOf } from "../network.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import {
  DeviceAddedBody,
  DeviceBody,
  DeviceChangeBody,
  DeviceNewBody,
  NetworkBody,
  PairingBody,
} from "../wire/devices.ts";

/** Who may come in from the network. All but coming in itself is for somebody at the computer. */
export function deviceRoutes(access: Access, bound: () => Bound | undefined): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/network",
      summary: "Whether the server is open to the shop's network, and what whoever asks is known as",
      answers: { 200: { says: "How it stands.", body: NetworkBody } },
      async handle({ request }) {
        const asker = askerOf(request);
        const network = bound()?.network;
        const device = asker.kind === "network" ? asker.device : undefined;
        const isKnown = asker.kind === "here" || device !== undefined;
        const body: NetworkBody = {
          open: network !== undefined,
          here: asker.kind === "here",
          device: device ? bodyOf(device) : null,
          // Whoever is not let in is told no more than that.
          deviceCount: isKnown ? access.devices().length : 0,
          secure: network?.secure ?? false,
          addresses: isKnown && network ? addressesOf(network) : [],
          fingerprint: isKnown ? (network?.fingerprint ?? null) : null,
        };
        return { status: 200, body };
      },
    }),
    route({
      method: "post",
      path: "/pairings",
      tellsSecret: true,
      summary: "A code that lets one device in, once, within five minutes",
      answers: { 201: { says: "The code, and where to open it.", body: PairingBody } },
      problems: ["only-here", "conflict"],
      async handle({ request }) {
        refuseFromNetwork(request);
        const network = bound()?.network;
        if (!network) {
          throw new Problem("conflict", "The server listens on this computer alone.", {
            nextSteps: ["Start it with wheelgram serve --open-to-network."],
          });
        }
        const { code, expiresAt } = access.pair();
        const addresses = addressesOf(network).map((address) => `${address}/pair#${code}`);
        return { status: 201, body: { code, expiresAt, addresses } };
      },
    }),
    route({
      method: "post",
      path: "/devices",
      tellsSecret: true,
      summary: "Come in: swap a code for a device's key",
      notes: "A browser is given the key as a cookie that no script can read. A program asks for it with tellKey.",
      body: DeviceNewBody,
      answers: {
        201: {
          says: "The device is let in.",
          body: DeviceAddedBody,
          headers: { "Set-Cookie": "the key, for a browser" },
        },
      },
      problems: ["not-paired", "too-many"],
      async handle({ request, body: { code, name, tellKey = false } }) {
        const { key, device } = await access.claim(code, name, request.socket.remoteAddress ?? "");
        const body = { device: bodyOf(device), key: tellKey ? key : null };
        if (tellKey) return { status: 201, body };
        const seconds = Math.floor((Date.parse(device.expiresAt) - Date.parse(device.addedAt)) / 1000);
        const cookie = deviceCookie(bound()?.network?.secure ?? false, key, seconds);
        return { status: 201, body, headers: { "Set-Cookie": cookie } };
      },
    }),
    route({
      method: "get",
      path: "/devices",
      summary: "Devices that were let in",
      answers: { 200: { says: "The devices; none is an empty list.", body: z.array(DeviceBody) } },
      problems: ["only-here"],
      async handle({ request }) {
        refuseFromNetwork(request);
        return { status: 200, body: access.devices().map(bodyOf) };
      },
    }),
    route({
      method: "patch",
      path: "/devices/{id}",
      summary: "Name a device",
      body: DeviceChangeBody,
      answers: { 200: { says: "The device.", body: DeviceBody } },
      problems: ["only-here", "not-found"],
      async handle({ request, params, body: { name } }) {
        refuseFromNetwork(request);
        const device = await access.rename(params["id"] ?? "", name);
        if (!device) throw new Problem("not-found", `There is no device ${params["id"]}.`);
        return { status: 200, body: bodyOf(device) };
      },
    }),
    route({
      method: "delete",
      path: "/devices/{id}",
      summary: "Let a device go: its key opens nothing from now on, and what it has open is cut",
      answers: { 204: { says: "It is out." } },
      problems: ["only-here", "not-found"],
      async handle({ request, params }) {
        refuseFromNetwork(request);
        if (!(await access.revoke(params["id"] ?? ""))) {
          throw new Problem("not-found", `There is no device ${params["id"]}.`);
        }
        return { status: 204 };
      },
    }),
  ];
}

function bodyOf({ id, name, addedAt, seenAt, expiresAt }: StoredDevice): DeviceBody {
  return { id, name, addedAt, seenAt, expiresAt };
}
