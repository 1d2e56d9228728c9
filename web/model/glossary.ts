/** The words of the house, one meaning each, in the order in which a reader meets them. */
export const GLOSSARY: readonly {
  readonly where: string;
  readonly words: readonly (readonly [word: string, meaning: string])[];
}[] = [
  {
    where: "on air",
    words: [
      ["symbol", "one on-air state: for ASK carrier on is 1, for FSK the higher frequency is 1"],
      ["bit", "what the line code makes of symbols; with Manchester two symbols a bit"],
      ["symbol rate", "symbols per second"],
      ["line code", "the rule between bits and symbols"],
      [
        "carrier, deviation, offset",
        "the middle frequency; for FSK half the distance between the two; how far a carrier lies from its nominal value",
      ],
      ["burst", "a stretch of keyed carrier; a silence under 3 ms, or under six symbols, does not end it"],
      [
        "preamble, sync",
        "what a telegram begins with so that a receiver can settle; the known symbols right before the first bit",
      ],
      ["frame", "the bits of one burst, read by a layout"],
      ["frame layout", "how a kind of sensor sends and what its bits mean; a JSON file"],
      ["field, check", "a stretch of the frame with a meaning; a value that must agree with the bits it covers"],
      ["telegram", "what a sensor said once, its copies merged, its checks agreed"],
      ["identity", "the number by which a sensor says who it is"],
    ],
  },
  {
    where: "in the bay",
    words: [
      ["lamp", "the tyre-pressure telltale in the car"],
      ["frequency, sensor ID", "the trade's words for carrier and identity"],
      ["wake-up field", "the 125 kHz field that asks a sensor to speak; LF always means left front"],
      ["relearn", "teaching the identities to the vehicle"],
      ["heard", "a wheel with a verified telegram"],
      ["sending, not readable", "a wheel with bursts that no layout reads"],
      ["not heard", "neither"],
      ["placard pressure", "what the vehicle's plate asks for, cold"],
      ["gauge, absolute pressure", "over the air around; over nothing. Absolute is gauge plus ambient"],
      ["cold-equivalent pressure", "what a warm tyre would show once cold"],
    ],
  },
  {
    where: "on the bench",
    words: [
      [
        "error, linearity, hysteresis, repeatability",
        "reading less gauge; how far errors are from a straight line; how they differ between up and down; how one reading differs from the next",
      ],
      [
        "expanded uncertainty, U",
        "what the true value may be off either way, at 95 %; k is how many standard uncertainties that is",
      ],
      ["guard band", "a strip along a limit in which nobody can tell on which side the true value is"],
      ["within, outside, cannot tell", "inside the limit with its guard band; beyond both; between"],
      ["golden specimen", "a part known to be good, that others are held against"],
      ["robust z, Grubbs", "two tests for one value that does not belong to the others"],
      ["tolerance interval", "where, going by a sample, 95 % of all such parts lie"],
    ],
  },
  {
    where: "ours",
    words: [
      ["verified", "checks agree, and the chance that a telegram is false is at most one in a thousand"],
      [
        "check ladder, rung",
        "the steps from samples to believable values, always in this order; one of them, passed, missed or not reached",
      ],
      ["finding, next step", "what was found out: as expected, look here or stop; what to do about it"],
      ["job card, wheel line", "one car's visit; one wheel on it"],
      ["hand-over sheet", "the page that goes with the car"],
      ["recording", "samples with their rate and carrier"],
      [
        "signal strip, frame lines, bit strip, field ruler",
        "the pictures of a recording: level over time, its frames, their bits, what the bits mean",
      ],
      ["layout shelf, layout workshop", "where the layouts stand; where an unknown one is worked out"],
      [
        "worksheet, station",
        "a piece of work in the workshop, with its bursts, figures and steps; one of its six questions",
      ],
      ["test frame", "a burst as it was received, and what its layout read in it when it came on the shelf"],
      ["receiver", "whatever hears for us: a device, or a program that feeds samples in"],
      [
        "lot, specimen, set point, gauge, lot record",
        "a box of sensors under test, one of them, a pressure it is set to, the reference instrument, the result",
      ],
      ["exercise, set", "a case for learners, drawn anew each time; several of them in one file, with their answers"],
      ["sitting", "one go at an exercise: one draw of it, with the answers and hints of whoever sits at it"],
      ["reveal", "what is told once an exercise is over: the answer, why, and the check ladder on its recording"],
      ["lesson, seat, class board", "a set done in a room; a place in it, by number; how far each seat came"],
      ["study, run", "many recordings looked at together, and one time of doing so"],
    ],
  },
];
