import type { LinkSettings } from "../../../decoders/radio/link.ts";
import { KEYINGS } from "../../../decoders/radio/telegram.ts";
import type { BandTriedBody } from "../../../server/http/wire/bands.ts";
import { figure } from "../quantities.ts";
import { shortName } from "./bandCharts.ts";
import { percentOf } from "./bandFigures.ts";

/** What a try came to in one band, in a sentence or two. */
export function triedWords(tried: BandTriedBody, { keying }: LinkSettings): string {
  const { sent, read, withoutRepair, expected, carrierHz, tunedHz } = tried;
  if (carrierHz !== tunedHz) {
    return `None of ${sent} was heard: the receiver was set to ${figure(tunedHz / 1e6, 2)} MHz. All of them were sent.`;
  }
  const much = `${withoutRepair.count} of ${sent} were read as they came, ${read.count} with a bit or two repaired.`;
  return `${much} ${agreement(withoutRepair, expected.share)}${why(tried, keying)}`;
}

/** What the formula leaves out, where the two do not agree and that is known. */
function why({ withoutRepair, expected, ebN0Db, madeEbN0Db }: BandTriedBody, keying: LinkSettings["keying"]): string {
  const { from, to } = withoutRepair;
  if (expected.share >= from && expected.share <= to) return "";
  const isDisturbed = madeEbN0Db - ebN0Db > 0.1;
  if (isDisturbed) return " The formula takes the interferer for noise; really it is one steady carrier.";
  if (expected.share > to) {
    return " The formula knows start, clock and carrier; the decoder has to find them, and that costs some tenths of a dB.";
  }
  return KEYINGS[keying].phaseFollowed
    ? " The formula does not know the carrier’s phase; the decoder follows it for this keying."
    : "";
}

function agreement({ from, to }: BandTriedBody["read"], share: number): string {
  if (share >= from && share <= to) return "That agrees with the formula.";
  return share > to ? "That is less than the formula has it." : "That is more than the formula has it.";
}

/** `40.8 to 80.9 %`. */
export function intervalWords({ from, to }: Pick<BandTriedBody["read"], "from" | "to">): string {
  return `${figure(100 * from, 1)} to ${figure(100 * to, 1)}\u202f%`;
}

export function expectedWords({ expected, sent }: BandTriedBody): string {
  if (expected.share === 0) return "none";
  const { figure: text, unit } = percentOf(expected.share);
  return `${text}\u202f${unit}, about ${figure(expected.share * sent, 1)} of ${sent}`;
}

/** What is said of a band whose receiver is set to the other one. */
export function deafWords(apartHz: number, widths: number, bandwidthKhz: number): string {
  return `The two bands lie ${figure(apartHz / 1e6, 2)} MHz apart. The receiver takes in ${figure(bandwidthKhz / 1000, 3)} MHz: the other band is ${figure(widths, 0)} such widths away.`;
}

/** Of the try that stands on the page, for whoever hears it. */
export function triedSaid(bands: readonly BandTriedBody[]): string {
  return bands.map(({ band, read, sent }) => `${shortName(band)} MHz: ${read.count} of ${sent} read.`).join(" ");
}
