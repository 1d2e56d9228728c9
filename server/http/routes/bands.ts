import type { LinkSettings } from "../../../decoders/radio/link.ts";
import { tryBands } from "../class/bandTry.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { BandTryBody, BandTryNewBody } from "../wire/bands.ts";

/** Telegrams a band where nobody says. */
const TELEGRAMS = 20;
/** Each takes some seconds of both threads; more would wait too long. */
const MOST_AT_ONCE = 6;
const SEEDS = 1_000_000_000;

/** The same telegram at 315.00 and 433.92 MHz, for a class. */
export function bandRoutes(house: House, random: () => number): readonly Route[] {
  let waiting = 0;
  return [
    route({
      method: "post",
      path: "/two-bands/tries",
      summary: "Send telegrams at both bands as a link would bring them in, and decode them",
      notes: `The Eb/N0 of each band follows from the settings by free-space or two-ray loss, antenna, power and noise. A
recording is made with just that, and the decoder reads it; nothing is kept and nothing is transmitted.`,
      body: BandTryNewBody,
      answers: { 200: { says: "What was read in each band, beside what the formulas expect.", body: BandTryBody } },
      problems: ["not-fitting", "not-now"],
      async handle({ body: { telegrams = TELEGRAMS, seed = Math.floor(random() * SEEDS), ...settings } }) {
        refuseImpossible(settings);
        if (waiting >= MOST_AT_ONCE) {
          throw new Problem("not-now", `${waiting} tries are being worked out.`, {
            nextSteps: ["Wait some seconds, then run it again."],
          });
        }
        waiting++;
        try {
          return {
            status: 200,
            body: { seed, telegrams, bands: await tryBands(house.air, settings, telegrams, seed) },
          };
        } finally {
          waiting--;
        }
      },
    }),
  ];
}

/** Two antennas cannot be nearer to each other than their heights differ. */
function refuseImpossible({ path, distanceM, sensorHeightM, receiverHeightM }: LinkSettings): void {
  const least = Math.abs(sensorHeightM - receiverHeightM);
  if (path !== "two-rays" || distanceM >= least) return;
  const allowed = `at least ${Number(least.toFixed(2))}, by which the two heights differ`;
  throw new Problem("not-fitting", "The antennas would be nearer to each other than their heights differ.", {
    complaints: [{ path: "distanceM", found: String(distanceM), allowed }],
  });
}
