import { z } from "zod";
import { again } from "./objects.ts";
import type { FleetStreams } from "./streams.ts";
import { WorkTask, workSubject } from "./workTask.ts";

/** Work that was tried often enough, and stands aside so that the rest goes on. */
export const AsideEntry = z.strictObject({
  /** The hash of a recording, or the key of a study's input. */
  id: z.string(),
  name: z.string(),
  kind: z.enum(["recording", "input"]),
  tries: z.int(),
  /** A sentence. */
  because: z.string(),
  at: z.string(),
  /** The worker that had it last. */
  worker: z.string(),
  task: WorkTask,
});
export type AsideEntry = z.infer<typeof AsideEntry>;

export function asideId(task: WorkTask): string {
  return task.kind === "recording" ? task.hash : task.key;
}

export async function putAside({ aside }: FleetStreams, entry: AsideEntry): Promise<void> {
  await again(() => aside.put(entry.id, JSON.stringify(entry)));
}

/** Newest first. */
export async function listAside({ aside }: FleetStreams): Promise<readonly AsideEntry[]> {
  const entries: AsideEntry[] = [];
  for await (const key of await aside.keys()) {
    const found = await aside.get(key);
    if (found?.operation !== "PUT") continue;
    const parsed = AsideEntry.safeParse(JSON.parse(found.string()));
    if (parsed.success) entries.push(parsed.data);
  }
  return entries.sort((a, b) => (a.at < b.at ? 1 : -1));
}

export async function forgetAside({ aside }: FleetStreams, id: string): Promise<void> {
  const found = await again(() => aside.get(id));
  if (found?.operation === "PUT") await again(() => aside.purge(id));
}

/** Sends a piece of work. It is there once, also where the acknowledgement is lost and it is sent again. */
export async function sendWork({ jetstream }: FleetStreams, task: WorkTask): Promise<void> {
  await again(() => jetstream.publish(workSubject(task.kind), JSON.stringify(task), { msgID: task.order }));
}
