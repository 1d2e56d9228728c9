import { lookAlike } from "./lookAlikes.ts";
import type { Slip } from "./slips.ts";

/**
 * What happened, digit by digit, and what to do next.
 *
 * @param slips One or more, the likeliest first.
 * @param whereOf Who says the right identity: `the sensor at left front`.
 */
export function slipSays(text: string, slips: readonly Slip[], whereOf: (identity: string) => string): string {
  const first = slips[0];
  if (first === undefined) throw new RangeError("no slip to be told of");
  const others = [...new Set(slips.map(({ identity }) => identity))].filter((one) => one !== first.identity);
  const or = others.map((identity) => ` It may as well be meant for ${whereOf(identity)}, ${identity}.`).join("");
  const next = `If the vehicle really holds it so, register ${first.identity} by the maker's procedure.`;
  return `“${text}” is likely ${first.identity}, ${whereOf(first.identity)}: ${told(first)}.${or} Look again; ${next[0]!.toLowerCase()}${next.slice(1)}`;
}

function told({ kind, notation, right, written, at, upTo }: Slip): string {
  const digit = notation === "decimal" ? "decimal digit" : "digit";
  const place = at === upTo ? `${digit} ${at}` : `one of the ${digit}s ${at} to ${upTo}`;
  const of = (digits: string, index: number) => digits.charAt(index - 1).toUpperCase();
  switch (kind) {
    case "decimal read as hex":
      return `its decimal number ${right} was taken for hex`;
    case "hex read as decimal":
      return `its hex number ${right} was taken for decimal`;
    case "bytes reversed":
      return "its groups of two stand in the opposite order";
    case "digit lost":
      return `${place}, ${of(right, at)}, is lost`;
    case "digit too many":
      return `${place}, ${of(written, at)}, is too many`;
    case "two swapped":
      return `${digit}s ${at} and ${at + 1} are swapped: ${of(written, at)}${of(written, at + 1)} for ${of(right, at)}${of(right, at + 1)}`;
    case "one mistyped": {
      const [listed, meant] = [of(written, at), of(right, at)];
      const alike = lookAlike(listed, meant) ? "; they look alike on a label" : "";
      return `${digit} ${at} is ${listed} in the list, the sensor says ${meant}${alike}`;
    }
  }
}
