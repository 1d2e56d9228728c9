import type { z } from "zod";
import { emptyJob, emptyWheel, type JobBody, type JobInputBody, type ReceiverBody } from "../../server/http/wire.ts";
import type { House } from "./house.ts";

export type Job = z.infer<typeof JobBody>;

// The HTTP interface as another program sees it; what comes back is taken as what the caller names.

/** JSON that the server answers to a plain GET below `/api/v1`. */
export function ask<T>(house: House, path: string): Promise<T> {
  return answered(house, "GET", path, {});
}

export function postJson<T>(house: House, path: string, body: unknown): Promise<T> {
  return answered(house, "POST", path, {
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
}

export function postBytes<T>(house: House, path: string, body: Uint8Array): Promise<T> {
  return answered(house, "POST", path, { headers: { "content-type": "application/octet-stream" }, body });
}

/** Takes something away that has no revision. */
export async function remove(house: House, path: string): Promise<void> {
  await answered(house, "DELETE", path, {});
}

/** A card of ours with four wheels, empty but for what is given. */
export function addJob(house: House, given: Partial<JobInputBody>): Promise<Job> {
  return postJson(house, "/jobs", {
    ...emptyJob(),
    placardFrontKpa: 230,
    placardRearKpa: 230,
    ...given,
  });
}

/** The wheels of the sample `sound-car` with their sensors. */
export const SOUND_CAR = [
  emptyWheel("left front", "3a51c0de"),
  emptyWheel("right front", "3a51c1a7"),
  emptyWheel("left rear", "3a51c2f9"),
  emptyWheel("right rear", "3a51bb04"),
];

/** Sets up a TCP receiver; `port` is where it listens. */
export async function addTcpReceiver(house: House, name: string): Promise<{ id: string; port: number }> {
  const { id, port } = await postJson<ReceiverBody>(house, "/receivers", { name, kind: "tcp", port: 0 });
  if (port === null) throw new Error("the receiver was given no port");
  return { id, port };
}

async function answered<T>(house: House, method: string, path: string, request: RequestInit): Promise<T> {
  const answer = await fetch(`${house.address()}/api/v1${path}`, { ...request, method });
  const text = await answer.text();
  if (!answer.ok) throw new Error(`${method} ${path} was answered ${answer.status}: ${text}`);
  return (text === "" ? undefined : JSON.parse(text)) as T;
}
