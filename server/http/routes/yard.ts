import { sendsOf, type Yard, yardScenario } from "../class/yard.ts";
import { yardPlay } from "../class/yardPlay.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { MOST_COPIES, YardPlayBody, YardPlayNewBody } from "../wire/yard.ts";

/** Pauses differ by up to half, and none may be shorter than a telegram. */
const LEAST_PERIOD_TELEGRAMS = 2.5;

/** Collisions: a yard that is really made and decoded, against what ALOHA says. */
export function yardRoutes({ air }: Pick<House, "air">, random: () => number): readonly Route[] {
  return [
    route({
      method: "post",
      path: "/yards/plays",
      summary: "Let sensors send without listening, and read what the decoder can",
      notes: `A recording is made and decoded, and kept nowhere. At most ${MOST_COPIES} telegrams, copies counted, so that
it takes some seconds.`,
      body: YardPlayNewBody,
      notKept: true,
      answers: { 200: { says: "What became of every telegram.", body: YardPlayBody } },
      async handle({ body }) {
        const yard: Yard = {
          sensors: body.sensors,
          periodSeconds: body.periodSeconds,
          telegramMs: body.telegramMs,
          seconds: body.seconds,
          copies: body.copies ?? 1,
          levelSpreadDb: body.levelSpreadDb ?? 12,
          timing: body.timing ?? "varied",
          seed: body.seed ?? Math.floor(random() * 2 ** 31),
        };
        refuseTooMuch(yard);
        const result = await air.play({ scenario: yardScenario(yard), layouts: "own" });
        return { status: 200, body: yardPlay(yard, result) };
      },
    }),
  ];
}

function refuseTooMuch(yard: Yard): void {
  const { copies, periodSeconds, telegramMs } = yard;
  const leastPeriod = (LEAST_PERIOD_TELEGRAMS * copies * telegramMs) / 1000;
  if (periodSeconds < leastPeriod) {
    refuse("The telegrams have no room in the period.", {
      path: "periodSeconds",
      found: String(periodSeconds),
      allowed: `${leastPeriod} or more, with telegrams of ${telegramMs} ms${copies > 1 ? ` and ${copies} copies` : ""}`,
    });
  }
  const onAir = sendsOf(yard) * copies;
  if (onAir > MOST_COPIES) {
    const seconds = Math.floor((10 * yard.seconds * MOST_COPIES) / onAir) / 10;
    refuse(`About ${Math.round(onAir)} telegrams would be sent; ${MOST_COPIES} are the most of a play.`, {
      path: "seconds",
      found: String(yard.seconds),
      allowed: seconds >= 1 ? `up to ${seconds}` : "none: take fewer sensors, fewer copies or a longer period",
    });
  }
}

function refuse(detail: string, complaint: { path: string; found: string; allowed: string }): never {
  throw new Problem("not-fitting", detail, { complaints: [complaint] });
}
