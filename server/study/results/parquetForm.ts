import { type BasicType, ByteWriter, ParquetWriter, schemaFromColumnData } from "hyparquet-writer";
import { openResult } from "./resultFile.ts";
import { tableSchema } from "./schemaFile.ts";
import type { Cell, ColumnType } from "./table.ts";
import type { OpenForm } from "./tableFile.ts";

/** A row group is written once it has so many rows, or so much text. Few large ones: each is told again at the end. */
const GROUP_ROWS = 20_000;
const GROUP_TEXT = 8 * 2 ** 20;

const TYPES: Readonly<Record<ColumnType, BasicType>> = {
  int32: "INT32",
  int64: "INT64",
  double: "DOUBLE",
  string: "STRING",
  boolean: "BOOLEAN",
};

/** Apache Parquet, with the table's part of the schema file in its key-value metadata. */
export const asParquet: OpenForm = async (folder, table) => {
  const file = await openResult(folder, `${table.name}.parquet`);
  const columns = table.columns.map(({ name, type, nullable }) => ({ name, type: TYPES[type], nullable }));
  const bytes = new ByteWriter();
  const parquet = new ParquetWriter({
    writer: bytes,
    schema: schemaFromColumnData({ columnData: columns.map((column) => ({ ...column, data: [] })) }),
    kvMetadata: [{ key: "wheelgram.schema", value: JSON.stringify(tableSchema(table)) }],
    createdBy: "wheelgram",
  });
  let group = emptyGroup();
  let rows = 0;
  let text = 0;

  return {
    async write(cells) {
      for (const row of cells) {
        for (const [i, cell] of row.entries()) {
          group[i]!.push(table.columns[i]!.type === "int64" && typeof cell === "number" ? BigInt(cell) : cell);
          if (typeof cell === "string") text += cell.length;
        }
        rows++;
        if (rows >= GROUP_ROWS || text >= GROUP_TEXT) await flush();
      }
    },
    async end() {
      if (rows > 0) await flush();
      await parquet.finish();
      await drain();
      return file.close();
    },
  };

  function emptyGroup(): (Cell | bigint)[][] {
    return columns.map(() => []);
  }

  async function flush(): Promise<void> {
    const columnData = columns.map(({ name }, i) => ({ name, data: group[i]! }));
    await parquet.write({ columnData, rowGroupSize: rows });
    group = emptyGroup();
    rows = 0;
    text = 0;
    await drain();
  }

  /** What the library has made is written away, and its buffer used again. */
  async function drain(): Promise<void> {
    await file.write(bytes.getBytes());
    bytes.index = 0;
  }
};
