import { chanceWrong } from "./frameTiming.ts";

/** How sure the bits of a stretch are, by the least sure of them; empty where that is not known. */
export function leastSureWords(
  { at, bits }: { readonly at: number; readonly bits: number },
  confidences: readonly number[],
): string {
  const own = confidences.slice(at, at + bits);
  if (own.length === 0) return "";
  const least = own.reduce((lowest, one, i) => (one < (own[lowest] ?? 0) ? i : lowest), 0);
  const wrong = chanceWrong(own[least] ?? 0);
  if (wrong < 1e-3) return own.length === 1 ? "The bit is sure." : "All its bits are sure.";
  const odds =
    wrong > 0.4 ? "as likely wrong as right" : `wrong once in ${Math.round(1 / wrong).toLocaleString("en-GB")}`;
  return `Its least sure bit is no. ${at + least}: ${odds}.`;
}
