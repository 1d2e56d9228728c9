import type { BurstRecord } from "../../../decoders/records.ts";
import type { ResultInput } from "./facts.ts";
import { always, maybe, type Table } from "./table.ts";
import { timeOfDay } from "./timeOfDay.ts";

export interface BurstRow {
  readonly input: ResultInput;
  readonly burst: BurstRecord;
}

const missed = ({ burst }: BurstRow) => burst.rungs.find((rung) => rung.passed === false);

export const burstTable: Table<BurstRow> = {
  name: "bursts",
  row: "One burst: a stretch in which something was sent.",
  columns: [
    always("input", ["int32"], "Index of the input, as in the inputs table.", ({ input }) => input.index),
    always("name", ["string"], "Name of the input.", ({ input }) => input.name),
    always("burst", ["int32"], "Index of the burst in its input.", ({ burst }) => burst.index),
    always(
      "atSeconds",
      ["double", "s"],
      "When it began, from the first sample of the recording or from the first line.",
      ({ burst }) => burst.atSeconds,
    ),
    maybe("at", ["string"], "The same as a time of day, RFC 3339 in UTC, where the recording tells one.", (row) =>
      timeOfDay(row.input.startedAt, row.burst.atSeconds),
    ),
    always("durationSeconds", ["double", "s"], "How long it was.", ({ burst }) => burst.durationSeconds),
    always(
      "carrierHz",
      ["double", "Hz"],
      "Carrier as measured; from the middle of the band where the recording does not say what it was tuned to.",
      ({ burst }) => burst.carrierHz,
    ),
    maybe("modulation", ["string"], "ask or fsk.", ({ burst }) => burst.modulation),
    maybe(
      "deviationHz",
      ["double", "Hz"],
      "Frequency deviation as measured; fsk only.",
      (row) => row.burst.deviationHz,
    ),
    maybe("symbolRate", ["double", "Bd"], "Symbols a second as measured.", ({ burst }) => burst.symbolRate),
    maybe(
      "symbolRateUncertainty",
      ["double", "Bd"],
      "One standard deviation of symbolRate.",
      ({ burst }) => burst.symbolRateUncertainty,
    ),
    maybe("snrDb", ["double", "dB"], "Over the noise in the burst's 99 % bandwidth.", ({ burst }) => burst.snrDb),
    maybe("levelDbfs", ["double", "dB"], "Level against full scale.", ({ burst }) => burst.levelDbfs),
    always("clipped", ["boolean"], "Whether it reached full scale.", ({ burst }) => burst.clipped),
    always(
      "outcome",
      ["string"],
      "telegram, repeat (another copy of a telegram), or the rung at which it stopped.",
      ({ burst }) => burst.outcome,
    ),
    maybe(
      "layout",
      ["string"],
      "Id of the layout whose frame, or whose best try, it was.",
      ({ burst }) => burst.layout,
    ),
    maybe("missedRung", ["string"], "The first rung of the check ladder that it missed.", (row) => missed(row)?.rung),
    maybe("missedReason", ["string"], "Reason code of that rung.", (row) => missed(row)?.reason),
    maybe("missedBecause", ["string"], "The reason as a sentence.", (row) => missed(row)?.because),
    maybe(
      "missedMeasured",
      ["double"],
      "What was measured at that rung, in missedUnit.",
      (row) => missed(row)?.measured,
    ),
    maybe("missedNeeded", ["double"], "What it needed, in missedUnit.", (row) => missed(row)?.needed),
    maybe("missedUnit", ["string"], "Unit of these two.", (row) => missed(row)?.unit),
    always("symbolCount", ["int32", "1"], "How many symbols it was cut into.", ({ burst }) => burst.symbolCount),
    maybe(
      "symbols",
      ["string"],
      "Its symbols in hex, most significant first, padded with zero bits.",
      ({ burst }) => burst.symbols,
    ),
  ],
};
