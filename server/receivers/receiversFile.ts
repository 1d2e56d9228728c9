import { existsSync, readFileSync } from "node:fs";
import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import { firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import { fail, type Result, succeed } from "../recordings/result.ts";
import type { Hub, NewReceiver } from "./hub.ts";
import { NewReceiverShape } from "./newReceiver.ts";

const FileShape = z.strictObject({ receivers: z.array(NewReceiverShape).max(200) });

/**
 * Receivers that a file says are to be set up: `{"receivers": [{"kind": "serial", "name": …, "path": …, "baudRate": …}]}`.
 *
 * @returns An empty list where there is no such file; what is wrong with it names file, key and what is allowed.
 */
export function readReceiversFile(path: string): Result<readonly NewReceiver[], InputError> {
  if (!existsSync(path)) return succeed([]);
  const json = readJson(readFileSync(path));
  if (!json.ok) return fail(new InputError(path, `byte ${json.error.byte}`, json.error.found, json.error.allowed));
  const parsed = FileShape.safeParse(json.value);
  if (!parsed.success) return fail(firstComplaint(path, complaintsOf(parsed.error, json.value)));
  return succeed(parsed.data.receivers);
}

/** Sets up those that are not there yet, by kind and name; what was changed on the page since stays changed. */
export async function addFromFile(hub: Hub, wanted: readonly NewReceiver[]): Promise<void> {
  const there = await hub.receivers();
  for (const one of wanted) {
    if (!there.some(({ kind, name }) => kind === one.kind && name === one.name)) await hub.add(one);
  }
}
