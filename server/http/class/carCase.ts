import { STARTS_AT, wakeSecond } from "../../../seeds/cars/scenario.ts";
import { type Story, WHEELS } from "../../../seeds/cars/story.ts";
import { type CarCase, type Recorded, recordedOf } from "../../class/recorded.ts";
import { KNOWLEDGE } from "../../jobs/silence/knowledge.ts";
import type { Answered } from "../../jobs/silence/rank.ts";
import type { PictureOrder } from "./airTask.ts";
import type { DrawnCar } from "./carDraw.ts";

/** What neither the tables of the card nor that of the bursts show by themselves, in the order in which it is told. */
const TOLD = ["fitted", "age", "history", "written-id", "listed", "overload", "interferer", "overlap", "neighbours"];

const OVERLAPPED: ReadonlySet<string> = new Set(["two-senders", "second-sender"]);

/** A drawn car as an exercise shows it. */
export function carCase({ visit, line, outcomes, ranked, steps, air }: DrawnCar): CarCase {
  const summary = air.records.find((record) => record.kind === "summary");
  return {
    line,
    card: visit.card,
    lines: visit.lines,
    walk: visit.walk,
    listenedHz: visit.listenedHz,
    interferers: summary?.interferers ?? [],
    known: [
      ...(outcomes["duplicate"] === "on purpose" ? ["The new sensor was given the old one's ID."] : []),
      ...TOLD.flatMap((id) => {
        const of = KNOWLEDGE.evidence.find((one) => one.id === id);
        const words = of?.outcomes.get(outcomes[id] ?? "")?.words;
        return words === undefined ? [] : [sentence(words)];
      }),
    ],
    tried: steps.length === 0 ? [{ asks: "Nothing yet", answer: "–" }] : steps.flatMap(triedOf),
    ranked,
  };
}

function triedOf({ step, answer }: Answered) {
  const of = KNOWLEDGE.steps.find(({ id }) => id === step);
  return of ? [{ asks: of.words, answer: sentence(of.outcomes.get(answer)?.words ?? answer) }] : [];
}

/** The recording of a drawn car, with the wakes of its walk. */
export function carRecorded({ air, visit }: DrawnCar): Recorded {
  const from = Date.parse(STARTS_AT);
  return recordedOf(
    air.records,
    air.seconds,
    visit.walk.map(({ position, at }) => ({ position, atSeconds: (Date.parse(at) - from) / 1000 })),
  );
}

/**
 * The burst that came first when the wheel in question was woken, or where two senders overlapped; `undefined` where
 * there is none.
 */
export function burstInQuestion(car: DrawnCar): number | undefined {
  const { fromSeconds, toSeconds } = wakeStretch(car.story);
  const { bursts } = carRecorded(car);
  const own = bursts.find(({ atSeconds }) => atSeconds >= fromSeconds && atSeconds < toSeconds);
  return (own ?? bursts.find(({ rungs }) => rungs.some(({ reason }) => OVERLAPPED.has(reason))))?.index;
}

/** What is drawn of it: from the wake of the wheel in question to the next one. */
export function carPicture(story: Story, columns: number): PictureOrder {
  return { ...wakeStretch(story), columns };
}

function wakeStretch({ target }: Story) {
  const order = WHEELS.indexOf(target);
  return { fromSeconds: wakeSecond(order), toSeconds: wakeSecond(order + 1) };
}

function sentence(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}
