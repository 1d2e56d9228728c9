import type { Field } from "../../../decoders/layouts/schema.ts";
import type { BurstRecord, FieldValue, TelegramRecord } from "../../../decoders/records.ts";
import { sensorId } from "../../report/telegramCells.ts";
import { celsius, gaugeKpa } from "../../report/telegramTable.ts";
import type { ResultInput, ResultLayout } from "./facts.ts";
import { isPlausible } from "./inputTable.ts";
import { always, maybe, type Table } from "./table.ts";
import { timeOfDay } from "./timeOfDay.ts";

export interface TelegramRow {
  readonly input: ResultInput;
  /** Counted from 0 in its input. */
  readonly index: number;
  readonly telegram: TelegramRecord;
  /** `undefined` where the records speak of a layout that the study does not hold. */
  readonly frozen: ResultLayout | undefined;
  /** The burst with its first copy, where it is still at hand. */
  readonly burst: BurstRecord | undefined;
}

export const telegramTable: Table<TelegramRow> = {
  name: "telegrams",
  row: "One telegram, however many copies of it were sent.",
  columns: [
    always("input", ["int32"], "Index of the input, as in the inputs table.", ({ input }) => input.index),
    always("name", ["string"], "Name of the input.", ({ input }) => input.name),
    maybe(
      "hash",
      ["string"],
      "SHA-512 of the input's sample bytes; of receiver lines, of the file.",
      (row) => row.input.hash,
    ),
    always("telegram", ["int32"], "Index of the telegram in its input.", ({ index }) => index),
    always("burst", ["int32"], "Index of the burst that holds its first copy.", ({ telegram }) => telegram.burst),
    always(
      "atSeconds",
      ["double", "s"],
      "When it began, from the first sample of the recording or from the first line.",
      ({ telegram }) => telegram.atSeconds,
    ),
    maybe("at", ["string"], "The same as a time of day, RFC 3339 in UTC, where the recording tells one.", (row) =>
      timeOfDay(row.input.startedAt, row.telegram.atSeconds),
    ),
    always(
      "carrierHz",
      ["double", "Hz"],
      "Carrier as measured; from the middle of the band where the recording does not say what it was tuned to.",
      ({ telegram }) => telegram.carrierHz,
    ),
    always("layout", ["string"], "Id of the layout by which it was read.", ({ telegram }) => telegram.layout),
    maybe("layoutVersion", ["int32"], "Version of that layout, where it has any.", ({ frozen }) => frozen?.version),
    maybe("identity", ["string"], "Who sent it, as the layout spells it.", ({ telegram, frozen }) =>
      sensorId(telegram, frozen?.layout),
    ),
    maybe(
      "gaugePressureKpa",
      ["double", "kPa"],
      "Pressure above the air outside. From an absolute reading the standard atmosphere at sea level is taken off.",
      ({ telegram }) => gaugeKpa(telegram),
    ),
    maybe(
      "absolutePressureKpa",
      ["double", "kPa"],
      "Pressure above vacuum; only of sensors that tell it so.",
      ({ telegram }) => absoluteKpa(telegram),
    ),
    maybe("temperatureC", ["double", "Cel"], "Temperature that the sensor tells.", ({ telegram }) => celsius(telegram)),
    maybe("batteryLow", ["boolean"], "Whether the sensor says that its battery is low.", (row) => {
      const value = told(row, (field) => field.means === "battery-low")?.value;
      return value === undefined || value === null ? null : value === true || value === 1;
    }),
    maybe("batteryV", ["double", "V"], "Voltage that the sensor tells.", (row) => {
      const value = told(row, (field) => field.quantity === "voltage")?.value;
      return typeof value === "number" ? value : null;
    }),
    always("plausible", ["boolean"], "Whether every value lies in the range that its layout states.", ({ telegram }) =>
      isPlausible(telegram),
    ),
    always(
      "verified",
      ["boolean"],
      "Whether its check agrees and the chance of that being an accident is small enough.",
      ({ telegram }) => telegram.verified,
    ),
    always(
      "repairedBits",
      ["int32", "1"],
      "Bits that were turned for the check to agree.",
      (row) => row.telegram.repairedBits,
    ),
    always(
      "falseAcceptProbability",
      ["double", "1"],
      "Chance that noise would have been taken for it.",
      ({ telegram }) => telegram.falseAcceptProbability,
    ),
    always(
      "uncheckedBits",
      ["int32", "1"],
      "Bits that no check and no constant covers.",
      (row) => row.telegram.uncheckedBits,
    ),
    always(
      "copies",
      ["int32", "1"],
      "How many copies of it were put together.",
      ({ telegram }) => telegram.repeats.length,
    ),
    always("copyBursts", ["string"], "Indices of their bursts, as a JSON list.", (row) =>
      JSON.stringify(row.telegram.repeats),
    ),
    maybe("snrDb", ["double", "dB"], "Over the noise in the 99 % bandwidth of its burst.", (row) => row.telegram.snrDb),
    maybe("levelDbfs", ["double", "dB"], "Level of its burst against full scale.", ({ burst }) => burst?.levelDbfs),
    always("bitCount", ["int32", "1"], "How many bits it has.", ({ telegram }) => telegram.bitCount),
    always(
      "bits",
      ["string"],
      "Its bits in hex, once line code and whitening are taken off; most significant first, padded with zero bits.",
      ({ telegram }) => telegram.bits,
    ),
    always(
      "fields",
      ["string"],
      "Every field of it as a JSON object: raw number, value, unit, whether it is plausible.",
      ({ telegram }) => JSON.stringify(telegram.fields),
    ),
  ],
};

/** Above vacuum, of a sensor that tells it so: the air that was taken off is put back. */
function absoluteKpa({ fields }: TelegramRecord): number | null {
  for (const { kPaGauge, ambientKpa } of Object.values(fields)) {
    // To a millionth of a kPa, so that the sum shows no rounding of doubles.
    if (kPaGauge !== undefined && ambientKpa !== undefined) return Math.round((kPaGauge + ambientKpa) * 1e6) / 1e6;
  }
  return null;
}

function told({ telegram, frozen }: TelegramRow, wanted: (field: Field) => boolean): FieldValue | undefined {
  const field = frozen?.layout.fields.find((one) => wanted(one) && Object.hasOwn(telegram.fields, one.name));
  return field && telegram.fields[field.name];
}
