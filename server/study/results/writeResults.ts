import { burstTable } from "./burstTable.ts";
import { writeCollections } from "./collections.ts";
import type { DoneInput, ResultInput, StudyFacts } from "./facts.ts";
import { tallyHeard } from "./heardTally.ts";
import { countBurst, countTelegram, inputTable, missedRung, newCounts } from "./inputTable.ts";
import { countLadder, ladderTable, reasonRows, reasonTable } from "./ladderTable.ts";
import { writeManifest } from "./manifestFile.ts";
import { asParquet } from "./parquetForm.ts";
import type { InputYield } from "./plots/inputsFigure.ts";
import { writePlots } from "./plots/writePlots.ts";
import { makeResultFolder, type ResultFolder } from "./resultFolder.ts";
import { schemaFile } from "./schemaFile.ts";
import { addInput, NO_TOTALS, statisticsFile } from "./statisticsFile.ts";
import type { Table } from "./table.ts";
import { asCsv, asJsonLines, openTable } from "./tableFile.ts";
import { telegramTable } from "./telegramTable.ts";

/**
 * Writes the results of a study into a folder: tables, statistics, figures, and the manifest with the hash of each.
 *
 * Goes once through the inputs that are done; beside what is said of an input itself, memory does not grow with how many
 * there are and how much was heard. The same facts and records give the same bytes.
 *
 * @param folder Is made; must hold none of these files. What is in it after a throw is of no use.
 * @param done By ascending index. Inputs that are not among them stand in the table of inputs alone.
 * @throws RangeError for an index out of order or without an input; what reading records or writing files throws.
 */
export async function writeResults(
  folder: string,
  facts: StudyFacts,
  done: AsyncIterable<DoneInput> | Iterable<DoneInput>,
): Promise<void> {
  const results = await makeResultFolder(folder);
  try {
    await writeInto(results, facts, done);
  } catch (error) {
    await results.abandon();
    throw error;
  }
}

async function writeInto(
  folder: ResultFolder,
  facts: StudyFacts,
  done: AsyncIterable<DoneInput> | Iterable<DoneInput>,
): Promise<void> {
  const layouts = new Map(facts.layouts.map((frozen) => [frozen.layout.id, frozen]));
  const ladder = countLadder();
  const heard = tallyHeard(layouts);
  const yields: InputYield[] = [];
  let totals = NO_TOTALS;
  const open = <Row>(table: Table<Row>) => openTable(folder, table, [asCsv, asJsonLines, asParquet]);
  const inputs = await open(inputTable);
  const bursts = await open(burstTable);
  const telegrams = await open(telegramTable);

  let next = 0;
  for await (const { index, records } of done) {
    for (; next < facts.inputs.length && facts.inputs[next]!.index < index; next++) await passOver(facts.inputs[next]!);
    const input = facts.inputs[next++];
    if (input?.index !== index) throw new RangeError(`input ${index} is out of order, or there is none`);
    await tellInput(input, records());
  }
  for (; next < facts.inputs.length; next++) await passOver(facts.inputs[next]!);
  for (const table of [inputs, bursts, telegrams]) await table.end();

  await writeTable(ladderTable, ladder.rungs);
  await writeTable(reasonTable, reasonRows(ladder));
  await writeJson("schema.json", schemaFile([inputTable, ladderTable, reasonTable, burstTable, telegramTable]));
  await writeJson("statistics.json", statisticsFile(facts, totals, ladder, heard));
  await writePlots(folder, facts, { ladder, heard, yields });
  await writeCollections(folder, facts);
  if (facts.citation !== undefined) await folder.write("CITATION.txt", facts.citation);
  await writeManifest(folder, facts);

  async function passOver(input: ResultInput): Promise<void> {
    yields.push({ input: input.index, verified: null, unverified: 0 });
    await inputs.add({ input, counts: undefined });
  }

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
          break;
        default:
          throw new RangeError(`a record of no known kind: ${JSON.stringify(record satisfies never)}`);
      }
    }
    ladder.countInput(missedRung(counts.summary));
    totals = addInput(totals, counts);
    const { verified, telegrams: all } = counts;
    yields.push({ input: input.index, verified, unverified: all - verified });
    await inputs.add({ input, counts });
  }

  async function writeTable<Row>(table: Table<Row>, rows: Iterable<Row>): Promise<void> {
    const writer = await open(table);
    for (const row of rows) await writer.add(row);
    await writer.end();
  }

  async function writeJson(name: string, content: unknown): Promise<void> {
    await folder.write(name, `${JSON.stringify(content, null, 2)}\n`);
  }
}
