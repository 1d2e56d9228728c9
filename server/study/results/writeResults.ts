import { mkdir } from "node:fs/promises";
import type { BurstRecord } from "../../../decoders/records.ts";
import { burstTable } from "./burstTable.ts";
import type { DoneInput, ResultInput, ResultLayout, StudyFacts } from "./facts.ts";
import { countBurst, countTelegram, inputTable, missedRung, newCounts } from "./inputTable.ts";
import { countLadder, ladderTable, reasonRows, reasonTable } from "./ladderTable.ts";
import { asCsv, openTable } from "./tableFile.ts";
import { telegramTable } from "./telegramTable.ts";

/** Bursts kept at hand for a telegram that tells of one: it comes soon after its first copy. */
const BURSTS_KEPT = 1024;

/**
 * Writes the results of a study into a folder: tables, statistics, figures, and the manifest with the hash of each.
 *
 * Goes once through the inputs that are done; memory does not grow with how much was heard. The same facts and records
 * give the same bytes.
 *
 * @param folder Is made; must hold none of these files.
 * @param done By ascending index. Inputs that are not among them stand in the table of inputs alone.
 * @throws RangeError for an index out of order or without an input.
 */
export async function writeResults(
  folder: string,
  facts: StudyFacts,
  done: AsyncIterable<DoneInput> | Iterable<DoneInput>,
): Promise<void> {
  await mkdir(folder, { recursive: true });
  const layouts = new Map(facts.layouts.map((frozen) => [frozen.layout.id, frozen]));
  const ladder = countLadder();
  const inputs = await openTable(folder, inputTable, [asCsv]);
  const bursts = await openTable(folder, burstTable, [asCsv]);
  const telegrams = await openTable(folder, telegramTable, [asCsv]);
  let next = 0;
  const addNotDone = async (until: number) => {
    for (; next < until; next++) await inputs.add({ input: facts.inputs[next]!, counts: undefined });
  };
  for await (const { index, records } of done) {
    const input = facts.inputs[index];
    if (!input || index < next) throw new RangeError(`input ${index} is out of order, or there is none`);
    await addNotDone(index);
    next++;
    await addInput(input, records());
  }
  await addNotDone(facts.inputs.length);
  const rungs = await openTable(folder, ladderTable, [asCsv]);
  for (const row of ladder.rungs) await rungs.add(row);
  const reasons = await openTable(folder, reasonTable, [asCsv]);
  for (const row of reasonRows(ladder)) await reasons.add(row);
  for (const table of [inputs, rungs, reasons, bursts, telegrams]) await table.end();

  async function addInput(input: ResultInput, records: ReturnType<DoneInput["records"]>): Promise<void> {
    const counts = newCounts();
    const kept = new Map<number, BurstRecord>();
    for await (const record of records) {
      switch (record.kind) {
        case "burst":
          kept.set(record.index, record);
          kept.delete(record.index - BURSTS_KEPT);
          countBurst(counts, record);
          ladder.countBurst(input.index, record);
          await bursts.add({ input, burst: record });
          break;
        case "telegram": {
          const frozen: ResultLayout | undefined = layouts.get(record.layout);
          const row = { input, index: counts.telegrams, telegram: record, frozen, burst: kept.get(record.burst) };
          countTelegram(counts, record);
          await telegrams.add(row);
          break;
        }
        case "summary":
          counts.summary = record;
      }
    }
    ladder.countInput(missedRung(counts.summary));
    await inputs.add({ input, counts });
  }
}
