import { mkdir } from "node:fs/promises";
import { burstTable } from "./burstTable.ts";
import { writeCollections } from "./collections.ts";
import type { DoneInput, ResultInput, StudyFacts } from "./facts.ts";
import { tallyHeard } from "./heardTally.ts";
import { countBurst, countTelegram, inputTable, missedRung, newCounts } from "./inputTable.ts";
import { countLadder, ladderTable, reasonRows, reasonTable } from "./ladderTable.ts";
import { writeManifest } from "./manifestFile.ts";
import { asParquet } from "./parquetForm.ts";
import { type WrittenFile, writeResult } from "./resultFile.ts";
import { schemaFile } from "./schemaFile.ts";
import { addInput, NO_TOTALS, statisticsFile } from "./statisticsFile.ts";
import { asCsv, asJsonLines, openTable } from "./tableFile.ts";
import { telegramTable } from "./telegramTable.ts";

const FORMS = [asCsv, asJsonLines, asParquet];

/**
 * Writes the results of a study into a folder: tables, statistics, and the manifest with the hash of each.
 *
 * Goes once through the inputs that are done; beside what is said of an input itself, memory does not grow with how many
 * there are and how much was heard. The same facts and records give the same bytes.
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
  const heard = tallyHeard(layouts);
  let totals = NO_TOTALS;
  const inputs = await openTable(folder, inputTable, FORMS);
  const bursts = await openTable(folder, burstTable, FORMS);
  const telegrams = await openTable(folder, telegramTable, FORMS);

  let next = 0;
  for await (const { index, records } of done) {
    for (; next < facts.inputs.length && facts.inputs[next]!.index < index; next++) {
      await inputs.add({ input: facts.inputs[next]!, counts: undefined });
    }
    const input = facts.inputs[next++];
    if (input?.index !== index) throw new RangeError(`input ${index} is out of order, or there is none`);
    await tellInput(input, records());
  }
  for (; next < facts.inputs.length; next++) await inputs.add({ input: facts.inputs[next]!, counts: undefined });

  const rungs = await openTable(folder, ladderTable, FORMS);
  for (const row of ladder.rungs) await rungs.add(row);
  const reasons = await openTable(folder, reasonTable, FORMS);
  for (const row of reasonRows(ladder)) await reasons.add(row);
  const files: WrittenFile[] = [];
  for (const table of [inputs, rungs, reasons, bursts, telegrams]) files.push(...(await table.end()));
  const json = async (name: string, content: unknown) =>
    files.push(await writeResult(folder, name, `${JSON.stringify(content, null, 2)}\n`));
  await json("schema.json", schemaFile([inputTable, ladderTable, reasonTable, burstTable, telegramTable]));
  await json("statistics.json", statisticsFile(facts, totals, ladder, heard));
  files.push(...(await writeCollections(folder, facts)));
  if (facts.citation !== undefined) files.push(await writeResult(folder, "CITATION.txt", facts.citation));
  await writeManifest(folder, facts, files);

  async function tellInput(input: ResultInput, records: ReturnType<DoneInput["records"]>): Promise<void> {
    const counts = newCounts();
    heard.beginInput();
    for await (const record of records) {
      switch (record.kind) {
        case "burst":
          countBurst(counts, record);
          ladder.countBurst(input.index, record);
          heard.addBurst(record);
          await bursts.add({ input, burst: record });
          break;
        case "telegram": {
          const frozen = layouts.get(record.layout);
          const burst = heard.burstAt(record.burst);
          await telegrams.add({ input, index: counts.telegrams, telegram: record, frozen, burst });
          countTelegram(counts, record);
          heard.addTelegram(record);
          break;
        }
        case "summary":
          counts.summary = record;
      }
    }
    ladder.countInput(missedRung(counts.summary));
    totals = addInput(totals, counts);
    await inputs.add({ input, counts });
  }
}
