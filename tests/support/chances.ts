import type { Layout } from "../../decoders/layouts/schema.ts";
import { rawRange } from "../../seeds/encode/frame-bits.ts";
import { type chance, uniform } from "../../seeds/noise.ts";

/** Contents of a telegram by chance: of every field that is not constant, anywhere in its range. */
export function rawByChance(layout: Layout, random: ReturnType<typeof chance>): Record<string, bigint> {
  const settable = layout.fields.filter(({ type }) => type !== "constant");
  return Object.fromEntries(
    settable.map((field) => {
      const { least, greatest } = rawRange(field);
      const share = BigInt(Math.floor(uniform(random) * 2 ** 40));
      return [field.name, least + (share * (greatest - least + 1n)) / 2n ** 40n];
    }),
  );
}

/** Normal with mean 0 and variance 1. @source Box and Muller 1958 (from memory). */
export function normal(random: ReturnType<typeof chance>): number {
  return Math.sqrt(-2 * Math.log(1 - uniform(random))) * Math.cos(2 * Math.PI * uniform(random));
}
