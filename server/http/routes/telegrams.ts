import { z } from "zod";
import type { TelegramQuery } from "../../store/store.ts";
import { timeText } from "../../store/timeText.ts";
import { telegramBody } from "../bodies.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { StoredTelegramBody } from "../wire.ts";

const Query = z.strictObject({
  from: z.string().optional(),
  to: z.string().optional(),
  identity: z.string().max(64).optional(),
  receiver: z.string().max(64).optional(),
  cursor: z.string().max(400).optional(),
  limit: z.int().min(1).max(1000).optional(),
});

/** A page of telegrams where nobody says how many. */
const LIMIT = 100;

export function telegramRoutes({ store }: House): readonly Route[] {
  return [
    route({
      method: "get",
      path: "/telegrams",
      summary: "Telegrams of receivers and recordings, newest first, in pages",
      notes: `?from and ?to are times of day, RFC 3339, half open. ?limit is ${LIMIT} where it is left out. The next page is
at the address that the header Link gives with rel="next"; on the last page there is none.`,
      query: Query,
      answers: {
        200: {
          says: "One page.",
          body: z.array(StoredTelegramBody),
          headers: { Link: 'the next page, rel="next"' },
        },
      },
      problems: ["not-fitting"],
      async handle({ query }) {
        const { receiver, limit = LIMIT, identity, cursor, from, to } = query;
        const asked: TelegramQuery = {
          limit,
          ...(from === undefined ? {} : { from: timeIn("from", from) }),
          ...(to === undefined ? {} : { to: timeIn("to", to) }),
          ...(identity === undefined ? {} : { identity: identity.toLowerCase() }),
          ...(receiver === undefined ? {} : { receiverId: receiver }),
          ...(cursor === undefined ? {} : { cursor }),
        };
        const page = await store.telegrams(asked).catch((error: unknown) => {
          if (!(error instanceof RangeError)) throw error;
          throw new Problem("not-fitting", "That page cannot be found.", {
            complaints: [{ path: "cursor", found: String(cursor), allowed: "the one of the header Link, as it was" }],
          });
        });
        const body = page.items.map(telegramBody);
        if (page.next === undefined) return { status: 200, body };
        const told = new URLSearchParams();
        for (const [name, value] of Object.entries({ ...query, cursor: page.next })) told.set(name, String(value));
        const next = `</api/v1/telegrams?${told}>; rel="next"`;
        return { status: 200, body, headers: { Link: next } };
      },
    }),
    route({
      method: "get",
      path: "/telegrams/{id}",
      summary: "One telegram, in its newest revision",
      answers: { 200: { says: "The telegram.", body: StoredTelegramBody } },
      problems: ["not-found"],
      async handle({ params }) {
        const telegram = await store.telegram(params["id"] ?? "");
        if (!telegram) throw new Problem("not-found", `There is no telegram ${params["id"]}.`);
        return { status: 200, body: telegramBody(telegram) };
      },
    }),
  ];
}

function timeIn(path: string, text: string): string {
  try {
    return timeText(text);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new Problem("not-fitting", "The query does not fit.", {
      complaints: [{ path, found: JSON.stringify(text), allowed: "a time such as 2026-11-25T09:00:00Z" }],
    });
  }
}
