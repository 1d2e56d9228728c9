import type { Response } from "express";
import { z } from "zod";
import type { StoredEvent } from "../../store/store.ts";
import type { Events } from "../events.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";

/** Keeps whatever stands between us and the page from closing a quiet connection. */
const KEEP_ALIVE_MS = 15_000;
/** A reader that is this far behind is let go: it comes again, and then is told what it missed as fast as it reads. */
const MOST_UNSENT_BYTES = 2 ** 20;
const MOST_LISTENERS = 200;

const Query = z.strictObject({ after: z.int().min(0).max(Number.MAX_SAFE_INTEGER).optional() });

const NOTES = `Server-sent events: \`telegram\` (a StoredTelegram), \`burst\` (a StoredBurst), \`receiver\` (a Receiver),
\`job\` and \`lot\` (a JobEvent), \`lesson\` (a LessonEvent), \`recording\` (a RecordingEvent), \`study\` (a StudyEvent) and \`snapshot\` (a SnapshotEvent). Each is numbered; whoever comes back
with the header Last-Event-ID, or with ?after where a header cannot be sent, is first told what was missed, or, where that is no longer kept, a snapshot: ask for
everything anew. A comment comes every ${KEEP_ALIVE_MS / 1000} seconds; a reader that takes nothing for two of them is let go.`;

/** @param keepAliveMs A reader that takes nothing for twice as long is let go too. */
export function eventRoutes(events: Events, keepAliveMs: number = KEEP_ALIVE_MS): readonly Route[] {
  let listening = 0;
  return [
    route({
      method: "get",
      path: "/events",
      summary: "What happens, as it happens",
      notes: NOTES,
      query: Query,
      answers: { 200: { says: "A stream that does not end.", body: "events" } },
      problems: ["not-readable", "not-now"],
      async handle({ request, query }, response) {
        // A stream that comes back by itself still has the address of its first time: what it saw since is in the header.
        const lastNumber = numberIn(request.get("last-event-id")) ?? query.after;
        if (listening >= MOST_LISTENERS) {
          throw new Problem("not-now", `${MOST_LISTENERS} pages listen already.`, {
            nextSteps: ["Close some of them."],
          });
        }
        begin(response);
        if (request.method === "HEAD") {
          response.end();
          return undefined;
        }
        listening++;
        let isStuck = false;
        const keepAlive = setInterval(() => {
          // It took nothing since the last time: its place is better for another, and it may come again.
          if (isStuck && response.writableNeedDrain) return void response.destroy();
          isStuck = response.writableNeedDrain;
          response.write(": still here\n\n");
        }, keepAliveMs);
        response.on("drain", () => {
          isStuck = false;
        });
        let stop: (() => void) | undefined;
        let over = false;
        const end = () => {
          if (over) return;
          over = true;
          listening--;
          clearInterval(keepAlive);
          stop?.();
          response.end();
        };
        response.on("close", end);
        stop = await events.listen(lastNumber, {
          begin: (number) => response.write(`id: ${number}\n\n`),
          tell(event) {
            if (over) return;
            response.write(textOf(event));
            // What was missed is told at the reader's own pace, and what happens now at that of the world.
            if (stop && response.writableLength > MOST_UNSENT_BYTES) response.destroy();
          },
          end,
          room: () => roomIn(response),
        });
        if (over) stop(); // it went while it was told what it had missed
        return undefined;
      },
    }),
  ];
}

/** Settles when what was written is on its way; `false` if nobody reads any more. */
async function roomIn(response: Response): Promise<boolean> {
  if (response.writableNeedDrain) {
    await new Promise<void>((resume) => {
      const settle = () => {
        response.off("drain", settle).off("close", settle);
        resume();
      };
      response.on("drain", settle).on("close", settle);
    });
  }
  return response.writable;
}

function begin(response: Response): void {
  response.status(200).set("Cache-Control", "no-store");
  response.setHeader("Content-Type", "text/event-stream"); // always UTF-8, so Express need not say so
  response.flushHeaders();
}

/** @source HTML Living Standard, 9.2.5: JSON has no line feed in it, so one data line holds it. */
function textOf({ number, type, text }: StoredEvent): string {
  return `id: ${number}\nevent: ${type}\ndata: ${text}\n\n`;
}

function numberIn(header: string | undefined): number | undefined {
  if (header === undefined || header === "") return undefined;
  if (/^\d{1,15}$/.test(header)) return Number(header);
  throw new Problem("not-readable", `Last-Event-ID: found ${header}, allowed the number of an event.`);
}
