import { figure, inLine } from "../quantities.ts";
import { timeShown } from "../times.ts";
import { carrierVerdict, type Nominal, offsetWords } from "./carrierVerdict.ts";
import type { Held } from "./held.ts";
import { isHeard, type PressRun } from "./pressRun.ts";
import { keyingWords, type RunAnswer, unitOf } from "./runAnswer.ts";

interface RunTold {
  readonly run: PressRun;
  readonly answer: RunAnswer;
  readonly held: Held;
  readonly nominals: readonly Nominal[];
  readonly scale: string;
  /** When it was looked at, RFC 3339. */
  readonly at: string;
}

/** The result as lines of text with units, to be put into a mail or a record. */
export function runText({ run, answer, held, nominals, scale, at }: RunTold): string {
  const { carrier, keying, trend, extra } = answer;
  const unit = unitOf(run);
  const rows = run.presses.map((press) => {
    if (!isHeard(press)) return `${press.number}. not heard (marked by hand)`;
    const { offsetHz, offsetPpm } = carrierVerdict(press.carrierHz, nominals);
    const level = press.levelDb === undefined ? "level not told" : inLine({ figure: figure(press.levelDb, 1), unit });
    return [
      `${press.number}. ${press.outcome}`,
      level + (press.clipped ? " (overloaded)" : ""),
      `${inLine({ figure: figure(press.carrierHz / 1e6, 4), unit: "MHz" })}, ${offsetWords(offsetHz, offsetPpm)}`,
      keyingWords([press]),
    ].join("; ");
  });
  return [
    `Is it sending? A ${held === "something else" ? "transmitter" : held}, ${timeShown(at)}`,
    `${answer.big}. ${answer.says}`,
    ...(carrier ? [`Frequency: ${carrier.says} ${carrier.basis}`] : []),
    ...(keying === undefined ? [] : [`Keying: ${keying}`]),
    ...(trend ? [`Level: ${trend.says}. ${trend.next ?? ""}`.trim()] : []),
    ...(extra === undefined ? [] : [extra]),
    ...rows,
    scale,
    "Indicative: no calibrated instrument took it.",
  ].join("\n");
}
