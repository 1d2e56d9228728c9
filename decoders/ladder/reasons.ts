import type { RungName } from "../records.ts";

/** Why a rung was passed or missed: one sentence with places for its numbers, and what to do next. */
export interface Reason {
  readonly rung: RungName;
  /** `null`: the rung was not reached. */
  readonly passed: boolean | null;
  /** `{name}` stands for a number or word that the burst gives. */
  readonly sentence: string;
  readonly unit: string | null;
  readonly nextStep: string | null;
}

const reason = (
  rung: RungName,
  passed: boolean | null,
  sentence: string,
  unit: string | null = null,
  nextStep: string | null = null,
): Reason => ({ rung, passed, sentence, unit, nextStep });

/** All reasons of the check ladder, by code. The README beside this file lists exactly these. */
export const REASONS = {
  "input-clean": reason(
    "receiver",
    true,
    "The receiver was not overloaded: {measured} % of the samples at full scale.",
    "%",
  ),
  "input-unknown": reason("receiver", true, "The receiver told this burst itself; its own input was not recorded."),
  "input-loud": reason(
    "receiver",
    true,
    "{measured} % of the samples at full scale, but the telegram was read all the same.",
    "%",
  ),
  "input-overloaded": reason(
    "receiver",
    false,
    "Receiver overloaded for {measured} % of the burst; {needed} % is allowed.",
    "%",
    "Move the receiver 2 m away, or turn its gain down, and listen again.",
  ),
  "input-deaf": reason(
    "receiver",
    false,
    "The recording is too quiet to hear a weak sensor: its noise is {measured} steps of the receiver's scale, {needed} are needed.",
    "steps",
    "Turn the receiver's gain up until its noise moves the scale by a step or two, and record again.",
  ),
  "burst-strong": reason("burst", true, "Something was sent, {measured} dB above the noise.", "dB"),
  "burst-told": reason("burst", true, "Something was sent; the receiver tells no level with it."),
  "burst-weak": reason(
    "burst",
    false,
    "The burst is only {measured} dB above the noise; {needed} dB is needed to make out its symbols.",
    "dB",
    "Hold the receiver closer to the wheel, or wake the sensor again.",
  ),
  "nothing-sent": reason(
    "burst",
    false,
    "Nothing was sent: the strongest moment was {measured} dB above the noise; {needed} dB would be a burst.",
    "dB",
    "Wake the sensor again, close to the valve, and listen on the other frequency too.",
  ),
  "nothing-told": reason(
    "burst",
    false,
    "The receiver told no burst.",
    null,
    "Wake the sensor again, close to the valve, and see that the receiver is listening.",
  ),
  "band-known": reason(
    "band",
    true,
    "{measured} MHz, {distance} kHz from the {needed} MHz that a layout on the shelf uses.",
    "MHz",
  ),
  "band-unknown": reason(
    "band",
    true,
    "The recording does not say what frequency it was tuned to, so every layout was tried.",
  ),
  "band-strange": reason(
    "band",
    false,
    "{measured} MHz is more than 100 kHz from every frequency on the layout shelf; the nearest is {needed} MHz.",
    "MHz",
    "See that the receiver was tuned right. If it was, this part is made for another frequency than any layout here.",
  ),
  "symbols-steady": reason(
    "symbols",
    true,
    "Symbols are steady: their edges are off by {measured} % of a symbol; {needed} % is allowed.",
    "%",
  ),
  "symbols-told": reason("symbols", true, "The receiver cut the burst into {measured} symbols.", "symbols"),
  "carrier-unkeyed": reason(
    "symbols",
    false,
    "A carrier that does not switch: nothing is sent on it.",
    null,
    "Look for something that sends all the time nearby: a remote key held down, a charger, a wireless accessory. Switch it off and listen again.",
  ),
  "symbols-none": reason(
    "symbols",
    false,
    "No steady symbol time could be found in the burst.",
    null,
    "Record it once more, closer. If it looks the same, it is not a sensor's telegram.",
  ),
  "symbols-unsteady": reason(
    "symbols",
    false,
    "Symbol time varies by {measured} %; {needed} % is allowed. Two senders may overlap.",
    "%",
    "Wake one wheel at a time, and listen again.",
  ),
  "two-senders": reason(
    "symbols",
    false,
    "Two senders from {measured} ms on: neither could be read through the other.",
    "ms",
    "Wake one wheel at a time, or wait: two sensors seldom answer together twice. Listen again.",
  ),
  "second-sender": reason(
    "symbols",
    true,
    "Symbols are steady, though a second sender that could not be read is heard from {measured} ms on.",
    "ms",
    "To hear the other one too, wake one wheel at a time, or listen again: two sensors seldom answer together twice.",
  ),
  "start-known": reason(
    "sync",
    true,
    "The known start of {layout} was found, {measured} of its {needed} symbols off.",
    "symbols",
  ),
  "start-unknown": reason(
    "sync",
    false,
    "No known start; the nearest is that of {layout}, {measured} of its {needed} symbols off.",
    "symbols",
    "Compare it with a sensor of the same car that is read. If all four look like this one, they speak a layout that is not on the shelf: keep the recording and note the gauge pressure of each wheel.",
  ),
  "keyed-otherwise": reason(
    "sync",
    false,
    "No layout at this frequency sends {modulation} at {measured} symbols a second; the nearest is {layout} with {needed}.",
    "symbols/s",
    "This sensor speaks a layout that is not on the shelf: keep the recording and note the gauge pressure of each wheel.",
  ),
  "code-obeyed": reason("line-code", true, "Symbols follow {code}: {measured} bits broken.", "bits"),
  "code-broken": reason(
    "line-code",
    false,
    "{code} is broken first at bit {first}, in {measured} bits; at most {needed} are allowed.",
    "bits",
    "Record it once more, closer, with the other wheels asleep.",
  ),
  "length-fits": reason("length", true, "All {needed} bits are there.", "bits"),
  "length-short": reason(
    "length",
    false,
    "{measured} bits of {needed}: the burst ends too early.",
    "bits",
    "Wake the sensor again; if it always ends there, it speaks another layout.",
  ),
  "length-cut": reason(
    "length",
    false,
    "{measured} bits of {needed}: the recording ends in the middle of the burst.",
    "bits",
    "Record a little longer.",
  ),
  "check-agrees": reason("check", true, "The check agrees; wrong with a chance of {chance}."),
  "check-repaired": reason(
    "check",
    true,
    "The check agrees once the {measured} least sure bits are turned; wrong with a chance of {chance}.",
    "bits",
  ),
  "check-combined": reason(
    "check",
    true,
    "The check agrees once {measured} copies, none of them readable alone, are added up; wrong with a chance of {chance}.",
    "copies",
  ),
  "check-none": reason("check", true, "This layout has no check, so nothing proves these bits."),
  "check-unsure": reason(
    "check",
    true,
    "The check agrees, but the chance of being wrong is {chance}, too much to call it verified.",
  ),
  "check-differs": reason(
    "check",
    false,
    "Check says {sent}, computed {computed}.",
    null,
    "Wake the sensor again and take the next telegram. If none agrees, it speaks another layout.",
  ),
  "check-guessed": reason(
    "check",
    false,
    "Check says {sent}, computed {computed}. Bits {places} the other way would explain it, wrong with a chance of {chance}: not applied.",
    null,
    "Wake the sensor again and take the next telegram. If it has these bits the other way, it was this one.",
  ),
  "constant-differs": reason(
    "check",
    false,
    "{measured} bits that never change in {layout} are different here.",
    "bits",
    "It is a relative of {layout}: keep the recording and note the gauge pressure of each wheel.",
  ),
  "check-chance": reason(
    "check",
    false,
    "The check agrees, but the symbols are so unsure that this is more likely chance.",
    null,
    "Hold the receiver closer to the wheel, or wake the sensor again.",
  ),
  "values-plausible": reason("values", true, "All values lie in the ranges of the layout."),
  "value-implausible": reason(
    "values",
    false,
    "{field} reads {measured} {unit}, outside this layout's range of {low} to {high}.",
    null,
    "Compare with a hand gauge. If the gauge disagrees, the sensor is faulty or the layout is not this sensor's.",
  ),
  "receiver-not-reached": reason("receiver", null, "Not reached."),
  "burst-not-reached": reason("burst", null, "Not reached."),
  "band-not-reached": reason("band", null, "Not reached."),
  "symbols-not-reached": reason("symbols", null, "Not reached."),
  "sync-not-reached": reason("sync", null, "Not reached."),
  "line-code-not-reached": reason("line-code", null, "Not reached."),
  "length-not-reached": reason("length", null, "Not reached."),
  "check-not-reached": reason("check", null, "Not reached."),
  "values-not-reached": reason("values", null, "Not reached."),
} as const satisfies Record<string, Reason>;

export type ReasonCode = keyof typeof REASONS;
