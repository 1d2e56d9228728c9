import { sentence } from "../../decoders/words.ts";
import type { ReceiverBody, WakeAnswerBody, WheelLineBody } from "../../server/http/wire.ts";
import { counted, listed } from "./quantities.ts";
import { carriersInMhz } from "./receiverWords.ts";
import { timeShown } from "./times.ts";

/** What stands under every wheel that was not heard: its finding, and the two questions that any silence raises. */
export interface Silence {
  readonly finding: string;
  readonly couldWeHaveHeardIt: string;
  readonly wasItWoken: string;
}

interface Visit {
  /** All wheel lines of the card, the silent one among them. */
  readonly lines: readonly WheelLineBody[];
  readonly otherCount: number;
  readonly recordingCount: number;
  /** Those that the visit listens to. */
  readonly receivers: readonly ReceiverBody[];
  /** What came of the wakes. */
  readonly walk: readonly WakeAnswerBody[];
}

const QUESTION = "Could we have heard it?";

export function silenceOf(line: WheelLineBody, visit: Visit): Silence {
  // The server answers the first question inside its finding; here it has a line of its own.
  const at = line.finding.indexOf(QUESTION);
  const finding = at < 0 ? line.finding : line.finding.slice(0, at).trim();
  const told = at < 0 ? "" : sentence(line.finding.slice(at + QUESTION.length).trim());
  return { finding, couldWeHaveHeardIt: hearing(visit, told), wasItWoken: waking(visit, line.position) };
}

function hearing({ lines, otherCount, recordingCount, receivers }: Visit, told: string): string {
  const heard = lines.filter(({ state }) => state === "heard").length + otherCount;
  const listening = receivers.filter(({ state }) => state === "listening");
  if (heard > 0) {
    const carriers = roundedCarriers(lines);
    const where = carriers === "" ? "" : `, around ${carriers}`;
    return `Yes, most likely: ${counted(heard, "other sensor")} came in on this visit${where}.`;
  }
  const shown = listening.filter(({ selfCheck }) => selfCheck?.passed === true);
  if (shown.length > 0) {
    const at =
      shown
        .map(({ selfCheck }) => selfCheck?.at ?? "")
        .toSorted()
        .at(-1) ?? "";
    return `Likely: ${listed(shown.map(({ name }) => name))} heard a burst in its self-check of ${timeShown(at)}, but no sensor of this visit came in yet.`;
  }
  if (listening.length > 0) {
    const carriers = carriersInMhz(listening);
    const on = carriers === "" ? "" : ` on ${carriers}`;
    return `Not proved: ${counted(listening.length, "receiver")} listened${on}, but no sensor came in yet. ${told}`.trim();
  }
  if (recordingCount > 0) {
    return `Not proved: no sensor came in from ${counted(recordingCount, "recording")} of this visit. ${told}`.trim();
  }
  return "No: this visit listens to no receiver and no recording yet. Choose one under Listens to.";
}

function waking({ receivers, recordingCount, walk }: Visit, position: string): string {
  const wakes = walk.filter((one) => one.position === position);
  const last = wakes.at(-1);
  if (last) return `${wakes.length === 1 ? "Woken once" : `Woken ${wakes.length} times`}. ${last.because}`;
  const known = receivers.length + recordingCount > 0;
  return known
    ? "Not known: no wake-up mark is told on this card. A standing sensor usually answers once per wake, so wake it again at its valve."
    : "Not known: nothing listened while it was woken.";
}

/** Carriers of the sensors heard, to a tenth of a megahertz: enough to tell 315 from 433.9. */
function roundedCarriers(lines: readonly WheelLineBody[]): string {
  const hz = lines.flatMap(({ state, carrierHz }) => (state === "heard" && carrierHz !== null ? [carrierHz] : []));
  return carriersInMhz([{ carrierHz: hz.map((carrier) => Math.round(carrier / 1e5) * 1e5) }]);
}
