import { chance, uniform } from "../noise.ts";
import { type Fitted, SOUND, type Story } from "./story.ts";

/** A step that a technician is asked to do, and the answers that it may have. */
interface Asked {
  readonly id: string;
  readonly outcomes: ReadonlyMap<string, unknown>;
}

/** A technician misreads, or does a step not quite as it is meant, this often. */
export const MISREADS = 0.06;

/** What is otherwise than at the first round, while a step is done. */
interface Otherwise {
  readonly closer?: boolean;
  readonly pattern?: boolean;
  readonly pressure?: boolean;
  readonly near?: boolean;
  readonly lowerGain?: boolean;
  readonly otherBand?: boolean;
  readonly elsewhere?: boolean;
  readonly again?: boolean;
}

/**
 * The answer that this car gives to a step, as its fault makes it.
 *
 * @param misreads How often the technician errs, 0 to 1.
 * @throws Error for a step that no car knows.
 */
export function answerTo(step: Asked, story: Story, misreads: number): string {
  // A stream of its own for each step; streams are numbered from the first on.
  const stream = [...step.id].reduce((sum, char) => (31 * sum + char.charCodeAt(0)) % 997, 7);
  const random = chance(story.seed, 100 + stream);
  const dice = () => uniform(random);
  const truth = truthOf(step.id, story, dice);
  const answers = [...step.outcomes.keys()];
  if (!answers.includes(truth)) throw new Error(`the step ${step.id} has no answer ${truth}`);
  if (dice() >= misreads) return truth;
  const others = answers.filter((answer) => answer !== truth);
  return others[Math.floor(dice() * others.length)] ?? truth;
}

function truthOf(step: string, story: Story, dice: () => number): string {
  const own = story.fitted.get(story.target);
  const { vehicle } = story;
  const heard = (otherwise: Otherwise) => (comesIn(own, story, otherwise, dice) ? "heard" : "silent");
  switch (step) {
    case "wake-again":
      return heard({ closer: true, pattern: true, again: true });
    case "both-bands":
      if (heard({ near: true, closer: dice() < 0.2, again: true }) === "heard") return "here";
      return heard({ near: true, otherBand: true, again: true }) === "heard" ? "other" : "silent";
    case "level-at-wheel":
      // A neighbour's sensor that was taken for this wheel's gets no louder here.
      return story.air.answering === undefined && own !== undefined && own.alive ? "louder" : "same";
    case "gain-down":
      return heard({ lowerGain: true, again: true });
    case "deflate":
      return heard({ pressure: true, again: true });
    case "move-car":
      return heard({ elsewhere: true, again: true, closer: dice() < 0.3 });
    case "wait":
      return heard({ again: true });
    case "known-good": {
      const good: Fitted = { ...SOUND, identity: "0", band: story.vehicleBand };
      return comesIn(good, story, { near: true, closer: true }, dice) ? "heard" : "silent";
    }
    case "look-valve":
      if (!vehicle.hasSensors) return dice() < 0.93 ? "plain all" : "sensor";
      if (own === undefined) return dice() < 0.85 ? "plain here" : "sensor";
      // Rubber snap-in valves of sensors look like plain ones.
      return dice() < 0.05 ? "plain here" : "sensor";
    case "manual":
      return vehicle.hasSensors ? "sensors" : "none";
    case "read-list":
      return { complete: "listed", "lacks it": "not listed", empty: "empty", twice: "twice" }[vehicle.list];
    case "ask-battery":
      return vehicle.batteryWasOff ? "yes" : "no";
    case "unplug":
      return vehicle.isJammed ? "better" : "same";
    case "gauge":
      return [...story.fitted.values()].some((one) => one && one.gaugeKpa < 0.75 * story.placardKpa) ? "low" : "right";
    case "program":
      if (own?.blank) return "blank";
      return own?.alive && dice() < 0.85 ? "programmed" : "no answer";
    case "vehicle-hears":
      return vehicle.receiverWorks && !vehicle.isJammed && vehicle.hasSensors ? "hears" : "deaf";
    case "compare-good":
      if (own?.strange) return "different";
      return Math.abs(own?.clockPpm ?? 0) > 10_000 ? "shifted" : "alike";
    case "off-rim":
      if (own === undefined) return "none";
      if (!own.alive) return "dead";
      if (own.blank || own.storage) return "blank";
      return own.strange || own.band !== story.vehicleBand ? "other part" : "sends";
    default:
      throw new Error(`no car knows the step ${step}`);
  }
}

/** Whether a sensor, woken once more, is heard and read. */
function comesIn(own: Fitted | undefined, story: Story, how: Otherwise, dice: () => number): boolean {
  const { receiver, air } = story;
  if (own === undefined || !own.alive || own.blank || own.strange || Math.abs(own.clockPpm) > 10_000) return false;
  const woken =
    own.need === "nothing" ||
    (own.need === "closer" && how.closer === true) ||
    (own.need === "pattern" && how.pattern === true) ||
    how.pressure === true;
  if (!woken || (own.storage && !how.pressure)) return false;
  const isListened = receiver.bands.includes(own.band) !== (how.otherBand === true && receiver.bands.length === 1);
  if (!isListened || receiver.isDeaf) return false;
  if (receiver.isOverloaded && !how.lowerGain) return false;
  if (own.ebN0Db < 12 && !how.near) return dice() < 0.15;
  if ((air.steady || air.pulsed) && !how.elsewhere) return how.near ? dice() < 0.5 : dice() < 0.15;
  return !air.collides || (how.again === true && dice() < 0.9);
}
