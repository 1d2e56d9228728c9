import kinds from "../jobs/relearn.json" with { type: "json" };
import { relearnFile } from "../jobs/relearn.ts";
import { compareList } from "../jobs/vehicleList/compareList.ts";
import { readVehicleList } from "../jobs/vehicleList/readVehicleList.ts";

/** What the job card works out, by the names that a formula calls it by. Its words become ids: small, with dashes. */
export const JOB_FUNCTIONS: Readonly<Record<string, (...given: never[]) => number | string>> = {
  /** What comes of one entry of a vehicle's list; behind it each wheel and the identity that was heard there. */
  listed: (entry: string, ...worn: string[]) => asId(outcomeOf(entry, worn).kind),
  /** The slip that explains an entry which no wheel has. */
  slip: (entry: string, ...worn: string[]) => {
    const [slip] = outcomeOf(entry, worn).slips;
    if (!slip) throw new RangeError(`no slip explains ${entry}`);
    return asId(slip.kind);
  },
  /** The kind of relearn in whose steps and facts a text stands. */
  relearnThat: (text: string) => {
    const found = relearnFile(kinds).kinds.filter(({ steps, facts }) =>
      [...steps.map((step) => step.do), ...facts.map(({ says }) => says)].some((says) => says.includes(text)),
    );
    if (found.length !== 1) throw new RangeError(`${found.length} kinds of relearn hold “${text}”`);
    return asId(found[0]!.id);
  },
  /** Beginnings of a relearn's steps in the order in which they are done. */
  relearnOrder: (id: string, ...beginnings: string[]) => {
    const steps = relearnFile(kinds).kinds.find((kind) => kind.id === id)?.steps ?? [];
    const placed = beginnings.map((beginning) => {
      const at = steps.findIndex((step) => step.do.startsWith(beginning));
      if (at < 0) throw new RangeError(`no step of ${id} begins with “${beginning}”`);
      return { at, beginning };
    });
    return placed
      .toSorted((a, b) => a.at - b.at)
      .map(({ beginning }) => asId(beginning))
      .join(", ");
  },
  join: (...parts: (string | number)[]) => parts.join(""),
  decimalOfHex: (hex: string) => BigInt(`0x${hex}`).toString(10),
  hexOfDecimal: (decimal: string, digits: number) => BigInt(decimal).toString(16).padStart(digits, "0"),
};

function outcomeOf(entry: string, worn: readonly string[]) {
  const wheels = worn.flatMap((position, i) => {
    const identity = worn[i + 1];
    return i % 2 === 1 || identity === undefined ? [] : [{ position, identity, heard: true }];
  });
  const { entries } = readVehicleList(entry);
  const [outcome] = compareList(entries, wheels).entries;
  if (!outcome) throw new RangeError(`${entry} is no entry of a list`);
  return outcome;
}

function asId(words: string): string {
  return words.toLowerCase().replace(/\W+/g, "-");
}
