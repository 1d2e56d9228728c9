import { ANOTHER_BAND_HZ, middleOf, ODD_LEVEL_DB } from "../siblings.ts";
import type { WheelLine } from "../wheelLines.ts";
import { isUnread, type SilenceInput } from "./evidence.ts";

/** The two questions that any silence raises, answered, and how a sensor differs from its siblings. */
export interface SilenceWords {
  readonly couldWeHaveHeardIt: string;
  readonly wasItWoken: string;
  /** A sentence for each difference. */
  readonly oddOneOut: string[];
}

const ODD_CARRIER_HZ = 40e3;

/** @param wakes How often this wheel was woken. */
export function silenceWords(
  input: SilenceInput,
  line: WheelLine,
  siblings: readonly WheelLine[],
  wakes: number,
): SilenceWords {
  return {
    couldWeHaveHeardIt: hearing(input),
    wasItWoken: waking(input, wakes),
    oddOneOut: oddOneOut(line, siblings),
  };
}

function hearing(input: SilenceInput): string {
  const { listenedHz, siblings, expectedCarrierHz, bursts, neighbours } = input;
  if (listenedHz.length === 0) return "No: nothing was listened to on this visit.";
  const where = listenedHz.map(megahertz).join(" and ");
  if (expectedCarrierHz !== null && !listenedHz.some((hz) => Math.abs(hz - expectedCarrierHz) < ANOTHER_BAND_HZ)) {
    return `No: we listened on ${where}, and this vehicle's sensors are expected on ${megahertz(expectedCarrierHz)}.`;
  }
  const clipped = bursts.filter((burst) => burst.clipped).length;
  if (clipped > 0 && siblings.heard === 0) {
    return `Hardly: the receiver was overloaded, ${clipped} bursts at full scale. Move it 2 m away and listen again.`;
  }
  if (siblings.heard > 0) {
    return `Yes, most likely: ${siblings.heard} of the ${siblings.count} other wheels came in on ${where}.`;
  }
  const unread = bursts.filter(isUnread).length;
  if (unread > 0) {
    return `Yes, most likely: ${unread} ${unread === 1 ? "burst" : "bursts"} came in on ${where} that no layout reads. This car may speak a layout that is not known here.`;
  }
  if ((neighbours ?? 0) > 0) return `Yes, most likely: sensors of other cars came in on ${where}.`;
  return `Not proven: nothing came in on ${where} at all. Hold a sensor that is known to be good to the receiver.`;
}

function waking({ state, wakeAnswer, siblings }: SilenceInput, wakes: number): string {
  if (wakeAnswer === null)
    return "Not known: no wake is marked for this wheel. A standing sensor usually answers once per wake.";
  const times = wakes === 1 ? "Woken once" : `Woken ${wakes} times`;
  if (wakeAnswer === "nobody" && state === "sending, not readable") {
    return `${times}: something answered that no layout reads.`;
  }
  const answers = {
    itself: "it answered.",
    nobody:
      siblings.heard > 0 ? "nobody answered, while other wheels did." : "nobody answered, and no other wheel did.",
    another: "a sensor that is none of this car's answered.",
    sibling: "the sensor of another wheel answered.",
  };
  return `${times}: ${answers[wakeAnswer]}`;
}

/** Four of one kind seldom fail at once: what sets one apart is worth a look. */
function oddOneOut(line: WheelLine, siblings: readonly WheelLine[]): string[] {
  const words: string[] = [];
  const carriers = siblings.flatMap(({ carrierHz }) => (carrierHz === null ? [] : [carrierHz]));
  const levels = siblings.flatMap(({ snrDb }) => (snrDb === null ? [] : [snrDb]));
  const carrier = middleOf(carriers);
  const level = middleOf(levels);
  if (carriers.length > 1 && line.carrierHz !== null && carrier !== undefined) {
    const off = line.carrierHz - carrier;
    if (Math.abs(off) >= ODD_CARRIER_HZ) {
      words.push(`It sends on ${megahertz(line.carrierHz)}, its siblings on ${megahertz(carrier)}.`);
    }
  }
  if (levels.length > 1 && line.snrDb !== null && level !== undefined && level - line.snrDb >= ODD_LEVEL_DB) {
    words.push(`It comes in ${Math.round(level - line.snrDb)} dB weaker than its siblings.`);
  }
  return words;
}

function megahertz(hz: number): string {
  return `${Number((hz / 1e6).toFixed(3))} MHz`;
}
