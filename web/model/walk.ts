import type { JobBody, WakeAnswerBody } from "../../server/http/wire.ts";

/**
 * The usual way round, from the driver's side front over the right side to the left rear, the spare last.
 *
 * @source Owner manuals of several makers, 2006 and later: left front, right front, right rear, left rear. The spare's
 *   place is common practice, no source.
 */
const USUAL: readonly string[] = [
  "front",
  "left front",
  "right front",
  "right rear",
  "right rear inner",
  "left rear inner",
  "left rear",
  "rear",
  "spare",
];

/** One wheel on the walk. */
export interface Stop {
  readonly position: string;
  /** How often it was woken. */
  readonly wakes: number;
  /** Of its newest wake. */
  readonly answer: WakeAnswerBody | undefined;
  readonly heard: boolean;
}

/** Positions of a card's wheels in the order in which they are woken. */
export function walkOrder({ wheels, walkOrder: chosen }: Pick<JobBody, "wheels" | "walkOrder">): string[] {
  const order = chosen.length > 0 ? chosen : USUAL;
  const rank = (position: string) => {
    const at = order.indexOf(position);
    return at < 0 ? order.length : at;
  };
  return wheels.map(({ position }) => position).toSorted((a, b) => rank(a) - rank(b));
}

/** The wheels in the order of the walk, with what came of each. */
export function stopsOf(job: JobBody): Stop[] {
  return walkOrder(job).map((position) => {
    const answers = job.walk.filter((one) => one.position === position);
    return {
      position,
      wakes: answers.length,
      answer: answers.at(-1),
      heard: job.lines.some((line) => line.position === position && line.state === "heard"),
    };
  });
}

/** The wheel to wake next: the first that was neither woken nor heard, then the first that did not answer. */
export function nextStop(stops: readonly Stop[]): Stop | undefined {
  return stops.find(({ wakes, heard }) => wakes === 0 && !heard) ?? stops.find(({ heard }) => !heard);
}

/** The order with one wheel a place earlier. */
export function movedUp(order: readonly string[], position: string): string[] {
  const at = order.indexOf(position);
  if (at < 1) return [...order];
  return [...order.slice(0, at - 1), position, order[at - 1]!, ...order.slice(at + 1)];
}
