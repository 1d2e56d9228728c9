import { join } from "node:path";
import { RUNGS } from "../../decoders/records.ts";
import { printable } from "../recordings/inputError.ts";
import type { StudyInput } from "../study/input.ts";
import type { StudyView } from "../study/study.ts";
import type { Desk } from "./desk.ts";

/** How far the bursts of all inputs came. */
interface Climbed {
  readonly telegrams: number;
  readonly bursts: number;
  /** By the outcome of a burst: `telegram`, `repeat`, or the first missed rung. */
  readonly outcomes: ReadonlyMap<string, number>;
}

/** Tells on standard output what became of a study: for people, or as JSON Lines. */
export async function tellStudy(
  desk: Desk,
  study: StudyView,
  o: { readonly folder: string; readonly json: boolean },
): Promise<void> {
  const climbed = await climbedBy(study);
  if (o.json) {
    for (const input of study.inputs()) await desk.write(`${JSON.stringify(inputLine(input))}\n`);
    const { total, ...states } = study.counts();
    const results = study.hasResults() ? join(o.folder, "results") : null;
    const ladder = Object.fromEntries(OUTCOMES.map((outcome) => [outcome, climbed.outcomes.get(outcome) ?? 0]));
    const line = {
      kind: "study",
      folder: o.folder,
      inputs: total,
      ...states,
      bursts: climbed.bursts,
      telegrams: climbed.telegrams,
      ladder,
      results,
    };
    return desk.write(`${JSON.stringify(line)}\n`);
  }
  await desk.write(`${wordsOf(study, climbed, o.folder).join("\n")}\n`);
}

const OUTCOMES = ["telegram", "repeat", ...RUNGS] as const;

async function climbedBy(study: StudyView): Promise<Climbed> {
  const outcomes = new Map<string, number>();
  let [telegrams, bursts] = [0, 0];
  for (const { index, state } of study.inputs()) {
    if (state !== "done") continue;
    for await (const record of study.records(index)) {
      if (record.kind === "telegram") telegrams++;
      if (record.kind !== "burst") continue;
      bursts++;
      outcomes.set(record.outcome, (outcomes.get(record.outcome) ?? 0) + 1);
    }
  }
  return { telegrams, bursts, outcomes };
}

function wordsOf(study: StudyView, { telegrams, bursts, outcomes }: Climbed, folder: string): string[] {
  const inputs = study.inputs();
  const { total, done, failed, skipped, waiting, running } = study.counts();
  const named = inputs.filter(({ state }) => state === "skipped");
  const lines = [
    `${total} found, ${total - skipped} usable${skipped === 0 ? "." : `, ${skipped} named with reasons:`}`,
  ];
  for (const { name, because } of named) lines.push(`  ${printable(name)}: ${because}`);
  const open = waiting + running;
  lines.push(
    `${done} done, ${failed} failed, ${skipped} skipped${open === 0 ? "" : `, ${open} to do`}: ${total} in all.`,
  );
  for (const one of inputs) if (one.state === "failed") lines.push(`  failed: ${printable(one.name)}: ${one.because}`);
  for (const { name, state, remark } of inputs) {
    if (state !== "skipped" && remark !== undefined) lines.push(`  note: ${printable(name)}: ${remark}`);
  }
  if (done > 0) {
    lines.push("", `How far the ${bursts} bursts came:`);
    for (const outcome of OUTCOMES) {
      const count = outcomes.get(outcome) ?? 0;
      if (count > 0) lines.push(`  ${String(count).padStart(7)}  ${WORDS[outcome]}`);
    }
    lines.push(`${telegrams} telegrams in all.`);
  }
  if (study.hasResults()) lines.push("", `Results: ${printable(join(folder, "results"))}`);
  return lines;
}

const WORDS: Readonly<Record<(typeof OUTCOMES)[number], string>> = {
  telegram: "read as a telegram",
  repeat: "read as a further copy of one",
  receiver: "stopped at rung 1: the receiver could not hear well",
  burst: "stopped at rung 2: too faint",
  band: "stopped at rung 3: not in the band of any layout",
  symbols: "stopped at rung 4: symbols not steady",
  sync: "stopped at rung 5: no known start",
  "line-code": "stopped at rung 6: line code broken",
  length: "stopped at rung 7: length fits no layout",
  check: "stopped at rung 8: check does not agree",
  values: "stopped at rung 9: values make no sense",
};

function inputLine({ index, name, hash, bytes, state, because, remark }: StudyInput) {
  return {
    kind: "input",
    index,
    name,
    hash: hash ?? null,
    bytes: bytes ?? null,
    state,
    because: because ?? null,
    remark: remark ?? null,
  };
}
