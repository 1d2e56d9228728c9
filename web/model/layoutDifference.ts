import type { Check, Field, Layout } from "../../decoders/layouts/schema.ts";
import { airWords, bitsWords, carrierWords, checkWords, formulaWords, originWords } from "./layoutWords.ts";

/** Something in which two versions of a layout differ, in words; `undefined` where one has nothing of it. */
export interface Difference {
  readonly what: string;
  readonly before: string | undefined;
  readonly after: string | undefined;
}

/** In what two versions differ, in the order of the layout's page; none where nothing does. */
export function layoutDifferences(before: Layout, after: Layout): readonly Difference[] {
  const found: Difference[] = [];
  const compare = (what: string, of: (layout: Layout) => string | undefined) => {
    const [old, now] = [of(before), of(after)];
    if (old !== now) found.push({ what, before: old, after: now });
  };
  compare("title", ({ title }) => title);
  compare("remarks", ({ notes }) => notes);
  compare("where it comes from", originWords);
  compare("carrier", carrierWords);
  compare("on air", airWords);
  compare("pulses", ({ pulse }) => pulse && `0 is ${pulse.zero}, 1 is ${pulse.one}`);
  compare("preamble", ({ preamble }) => `${preamble.repeat} × ${preamble.symbols}`);
  compare("sync", ({ sync }) => sync.symbols);
  compare("length", ({ bits }) => `${bits} bits`);
  compare(
    "whitening",
    ({ whitening }) =>
      whitening &&
      `polynomial ${whitening.poly}, seed ${whitening.seed}${whitening.reversedBytes ? ", bytes turned round" : ""}`,
  );
  compare("copies", ({ repeats }) => repeats && `${repeats.count}, ${Math.round(1000 * repeats.gapSeconds)} ms apart`);
  for (const name of namesOf(before.fields, after.fields)) {
    compare(`field ${name}`, ({ fields }) => fieldWords(fields.find((field) => field.name === name)));
  }
  const places = [...new Set([...before.checks, ...after.checks].map(({ at }) => at))].sort((a, b) => a - b);
  for (const at of places) compare(`check at bit ${at}`, ({ checks }) => checkAt(checks, at));
  return found;
}

function namesOf(before: readonly Field[], after: readonly Field[]): readonly string[] {
  return [...new Set([...before, ...after].toSorted((a, b) => a.at - b.at).map(({ name }) => name))];
}

function fieldWords(field: Field | undefined): string | undefined {
  if (!field) return undefined;
  const { at, bits, bitOrder, type } = field;
  const order = bitOrder === "lsb-first" ? ", lowest bit first" : "";
  const sign = type === "signed" ? ", two's complement" : "";
  const plausible = field.plausible ? `, plausible from ${field.plausible[0]} to ${field.plausible[1]}` : "";
  return `${bitsWords(at, bits)}${order}${sign}: ${formulaWords(field)}${plausible}`;
}

function checkAt(checks: readonly Check[], at: number): string | undefined {
  const check = checks.find((one) => one.at === at);
  return check && checkWords(check);
}
