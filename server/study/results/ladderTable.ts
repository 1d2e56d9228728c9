import { type BurstRecord, RUNGS, type Rung, type RungName } from "../../../decoders/records.ts";
import { isRead } from "./inputTable.ts";
import { always, maybe, type Table } from "./table.ts";

/** Where one can look: the first one of its kind. */
export interface Example {
  readonly input: number;
  readonly burst: number;
  readonly atSeconds: number;
}

export interface LadderRow {
  /** From 1 on. */
  readonly number: number;
  readonly rung: RungName;
  reached: number;
  stopped: number;
  /** Inputs whose best burst stopped here, or which for this reason have no burst. */
  inputsStopped: number;
  example: Example | undefined;
}

export interface ReasonRow {
  readonly rung: RungName;
  readonly reason: string;
  bursts: number;
  inputs: number;
  example: Example | undefined;
}

/** How far the bursts of all inputs came. Its size is that of the ladder and its reasons, however much is counted. */
export interface LadderCounts {
  readonly rungs: readonly LadderRow[];
  readonly reasons: ReadonlyMap<string, ReasonRow>;
  countBurst(input: number, burst: BurstRecord): void;
  /** An input is over. @param missed What its best burst missed, or why it has none. */
  countInput(missed: Rung | undefined): void;
}

export function countLadder(): LadderCounts {
  const rungs: LadderRow[] = RUNGS.map((rung, i) => ({
    number: i + 1,
    rung,
    reached: 0,
    stopped: 0,
    inputsStopped: 0,
    example: undefined,
  }));
  const reasons = new Map<string, ReasonRow>();
  const reasonRow = ({ rung, reason }: Rung): ReasonRow => {
    const key = `${rung} ${reason}`;
    const row = reasons.get(key) ?? { rung, reason, bursts: 0, inputs: 0, example: undefined };
    reasons.set(key, row);
    return row;
  };
  return {
    rungs,
    reasons,
    countBurst(input, burst) {
      const at = isRead(burst) ? -1 : burst.rungs.findIndex((rung) => rung.passed === false);
      const missed = burst.rungs[at];
      for (let i = 0; i < (missed ? at + 1 : rungs.length); i++) rungs[i]!.reached++;
      if (!missed) return;
      const example = { input, burst: burst.index, atSeconds: burst.atSeconds };
      const row = rungs[at]!;
      row.stopped++;
      row.example ??= example;
      const reason = reasonRow(missed);
      reason.bursts++;
      reason.example ??= example;
    },
    countInput(missed) {
      if (!missed) return;
      const row = rungs.find(({ rung }) => rung === missed.rung);
      if (row) row.inputsStopped++;
      reasonRow(missed).inputs++;
    },
  };
}

/** By rung and then by how many there are, so that what matters most stands first. */
export function reasonRows({ reasons }: LadderCounts): ReasonRow[] {
  const place = (row: ReasonRow) => RUNGS.indexOf(row.rung);
  return [...reasons.values()].sort(
    (a, b) => place(a) - place(b) || b.bursts - a.bursts || b.inputs - a.inputs || (a.reason < b.reason ? -1 : 1),
  );
}

const exampleColumns = [
  maybe<{ readonly example: Example | undefined }>(
    "exampleInput",
    ["int32"],
    "Index of the input with the first such burst.",
    ({ example }) => example?.input,
  ),
  maybe<{ readonly example: Example | undefined }>(
    "exampleBurst",
    ["int32"],
    "Index of that burst in it.",
    (row) => row.example?.burst,
  ),
  maybe<{ readonly example: Example | undefined }>(
    "exampleAtSeconds",
    ["double", "s"],
    "When that burst began.",
    (row) => row.example?.atSeconds,
  ),
];

export const ladderTable: Table<LadderRow> = {
  name: "ladder",
  row: "One rung of the check ladder.",
  columns: [
    always("number", ["int32"], "Its place, from 1 on.", ({ number }) => number),
    always("rung", ["string"], "Its name.", ({ rung }) => rung),
    always("burstsReached", ["int32", "1"], "Bursts that came up to it.", ({ reached }) => reached),
    always("burstsStopped", ["int32", "1"], "Bursts that missed it.", ({ stopped }) => stopped),
    always(
      "burstsPassed",
      ["int32", "1"],
      "Bursts that went on above it.",
      ({ reached, stopped }) => reached - stopped,
    ),
    always(
      "inputsStopped",
      ["int32", "1"],
      "Inputs whose best burst missed it, or which have no burst because of it.",
      ({ inputsStopped }) => inputsStopped,
    ),
    ...exampleColumns,
  ],
};

export const reasonTable: Table<ReasonRow> = {
  name: "reasons",
  row: "One reason for which bursts stopped at a rung.",
  columns: [
    always("rung", ["string"], "The rung.", ({ rung }) => rung),
    always("reason", ["string"], "The reason code, as the check ladder's list has it.", ({ reason }) => reason),
    always("bursts", ["int32", "1"], "Bursts that stopped there for it.", ({ bursts }) => bursts),
    always("inputs", ["int32", "1"], "Inputs whose best burst stopped there for it.", ({ inputs }) => inputs),
    ...exampleColumns,
  ],
};
