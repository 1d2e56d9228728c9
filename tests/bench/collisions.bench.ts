import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { type Collided, collided } from "../support/colliding.ts";

const LEVELS_DB = [0, 3, 6, 10, 15, 20];
const APART_HZ = [0, 5_000, 20_000, 50_000];
const LATER_SECONDS = [0.001, 0.003, 0.006];
const PAIRS = [
  ["pilot-car", "pilot-car"],
  ["ferry-shuttle", "ferry-shuttle"],
  ["pilot-car", "net-loft-van"],
] as const;

/**
 * Two telegrams that overlap: how often both are read, and where not both, how often the ladder names the overlap; by how
 * much weaker the second one is, how far beside the first and how much later. The weaker one has 20 dB of Eb/N0.
 *
 * @param options.draws Collisions a cell; 3 by default.
 */
export default async function collisions({ seed, draws = 3 }: { seed: number; draws: number | undefined }) {
  console.log(`of ${draws}: both read / named where not both; second sender weaker by ${LEVELS_DB.join(", ")} dB`);
  let wrong = 0;
  let bothRead = 0;
  let tried = 0;
  for (const [one, other] of PAIRS) {
    const first = builtinLayouts.find(({ id }) => id === one)!;
    const second = builtinLayouts.find(({ id }) => id === other)!;
    for (const laterSeconds of LATER_SECONDS) {
      for (const apartHz of APART_HZ) {
        const cells: string[] = [];
        for (const weakerByDb of LEVELS_DB) {
          let both = 0;
          let named = 0;
          for (let draw = 0; draw < draws; draw++) {
            const result = await collided({
              first,
              second,
              ebN0Db: 20,
              weakerByDb,
              apartHz,
              laterSeconds,
              seed: 100 * seed + draw,
            });
            tried++;
            if (result.firstRead && result.secondRead) both++;
            else if (isNamed(result)) named++;
            wrong += result.wrong;
          }
          bothRead += both;
          cells.push(`${both}/${named}`.padEnd(6));
        }
        const name = `${one}, ${other}, ${1000 * laterSeconds} ms, ${apartHz / 1000} kHz`;
        console.log(`${name.padEnd(44)} ${cells.join("")}`);
      }
    }
  }
  console.log(`both read in ${bothRead} of ${tried}; verified though nobody sent it: ${wrong}`);
}

function isNamed({ decoded }: Collided): boolean {
  return decoded.bursts.some(({ rungs }) =>
    rungs.some(({ reason }) => reason === "two-senders" || reason === "second-sender"),
  );
}
