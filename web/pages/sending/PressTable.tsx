import type { JSX } from "preact";
import { figure, frequencyShown, inLine } from "../../model/quantities.ts";
import { carrierVerdict, type Nominal, offsetWords } from "../../model/sending/carrierVerdict.ts";
import { HELD_WORDS, type Held, timesWords } from "../../model/sending/held.ts";
import { isHeard, PRESSES, type Press, type PressRun } from "../../model/sending/pressRun.ts";
import { keyingWords, unitOf } from "../../model/sending/runAnswer.ts";
import { Table } from "../../views/Table.tsx";

interface PressTableProps {
  readonly run: PressRun;
  readonly held: Held;
  readonly nominals: readonly Nominal[];
  readonly listeningCount: number;
}

/** Press by press what was heard and measured. */
export function PressTable({ run, held, nominals, listeningCount }: PressTableProps): JSX.Element {
  const unit = unitOf(run);
  return (
    <Table<Press>
      caption={`${timesWords(held, run.presses.length)} of ${PRESSES}, each with what was measured of its strongest burst`}
      rows={run.presses}
      keyOf={({ number }) => String(number)}
      empty={
        listeningCount === 0
          ? {
              says: "Nothing can come in: no receiver listens.",
              action: { label: "Connect a receiver", href: "/receivers" },
            }
          : {
              says: `No ${HELD_WORDS[held].once} yet. ${HELD_WORDS[held].now}`,
              action: { label: "See what the receivers say", href: "/receivers" },
            }
      }
      columns={[
        { name: "No.", figures: true, cell: ({ number }) => number },
        { name: "Heard", cell: heardWords },
        {
          name: "Frequency",
          figures: true,
          cell: (press) => (isHeard(press) ? inLine(frequencyShown(press.carrierHz, 4)) : "–"),
        },
        {
          name: "Off by",
          figures: true,
          cell: (press) => {
            if (!isHeard(press)) return "–";
            const { offsetHz, offsetPpm, verdict } = carrierVerdict(press.carrierHz, nominals);
            return verdict === "unknown" ? "no known one near" : offsetWords(offsetHz, offsetPpm);
          },
        },
        { name: "Keying", cell: (press) => (isHeard(press) ? keyingWords([press]) : "–") },
        {
          name: `Level, ${unit}`,
          figures: true,
          cell: (press) => (isHeard(press) ? levelWords(press.levelDb) : "–"),
        },
      ]}
    />
  );
}

function heardWords(press: Press): string {
  switch (press.outcome) {
    case "missed":
      return "no, marked by hand";
    case "faint":
      return "faint";
    case "heard":
      return press.clipped ? "yes, overloaded" : "yes";
  }
}

function levelWords(levelDb: number | undefined): string {
  return levelDb === undefined ? "not told" : figure(levelDb, 1);
}
