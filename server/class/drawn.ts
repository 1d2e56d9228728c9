import { createHash } from "node:crypto";
import type { z } from "zod";
import type { Draw, Exercise } from "./exercise.ts";
import { evaluated } from "./formula.ts";

/** What a name of an exercise stands for. */
export type Value = number | string;
export type Values = ReadonlyMap<string, Value>;

/** What is drawn for a seat, and what follows from it: the same for the same seed, whatever else is drawn. */
export function drawn({ draws = {}, worked = {} }: Pick<Exercise, "draws" | "worked">, seed: string): Values {
  const values = new Map<string, Value>();
  for (const [name, draw] of Object.entries(draws)) values.set(name, drawOne(draw, `${seed}|${name}`));
  for (const [name, formula] of Object.entries(worked)) values.set(name, evaluated(formula, values));
  return values;
}

/** A whole number for a scenario's own chance. */
export function scenarioSeed(seed: string): number {
  return digest(`${seed}|scenario`).readInt32BE(0);
}

/** In an order of the seed's own. */
export function shuffled<T>(items: readonly T[], seed: string): T[] {
  return items
    .map((item, i) => ({ item, at: fraction(`${seed}|order|${i}`) }))
    .toSorted((a, b) => a.at - b.at)
    .map(({ item }) => item);
}

function drawOne(draw: z.infer<typeof Draw>, seed: string): Value {
  if ("oneOf" in draw) return draw.oneOf[Math.floor(fraction(seed) * draw.oneOf.length)]!;
  if ("hexDigits" in draw) return digest(seed).toString("hex").slice(0, draw.hexDigits);
  if ("bits" in draw) {
    const bytes = digest(seed);
    return Array.from({ length: draw.bits }, (_, i) => (bytes[i >> 3]! >> (i & 7)) & 1).join("");
  }
  const steps = Math.floor((draw.to - draw.from) / draw.step + 1e-9);
  const value = draw.from + draw.step * Math.floor(fraction(seed) * (steps + 1));
  return Number(value.toFixed(9));
}

/** From 0 up to, not including, 1. */
function fraction(seed: string): number {
  return digest(seed).readUIntBE(0, 6) / 2 ** 48;
}

function digest(text: string): Buffer {
  return createHash("sha256").update(text).digest();
}
