import { createRequire } from "node:module";
import type { MathNode } from "mathjs/number";
import { TOOL_FUNCTIONS } from "./toolFunctions.ts";
import { WRITING } from "./writing.ts";

const ARITHMETIC: Readonly<Record<string, (...given: never[]) => unknown>> = {
  sqrt: (x: number) => Math.sqrt(x),
  log10: (x: number) => Math.log10(x),
  ln: (x: number) => Math.log(x),
  exp: (x: number) => Math.exp(x),
  abs: (x: number) => Math.abs(x),
  floor: (x: number) => Math.floor(x),
  round: (x: number) => Math.round(x),
  min: (...x: number[]) => Math.min(...x),
  max: (...x: number[]) => Math.max(...x),
};
const CONSTANTS: Readonly<Record<string, number>> = { pi: Math.PI };
const KNOWN = { ...ARITHMETIC, ...WRITING, ...TOOL_FUNCTIONS };
/** The arithmetic that a formula may use; everything else of the library is refused. */
const OPERATORS = new Set(["+", "-", "*", "/", "^", "%"]);

let library: Pick<typeof import("mathjs/number"), "parse"> | undefined;

/** Loaded with the first formula: it would take more than half a second of every start, of each thread as well. */
function parse(formula: string): MathNode {
  library ??= createRequire(import.meta.url)("mathjs/number") as Pick<typeof import("mathjs/number"), "parse">;
  return library.parse(formula);
}

/**
 * What a formula comes to: numbers, texts in quotes, names, `+ - * / ^ %`, brackets, and the functions of this house.
 *
 * @throws FormulaError with a sentence where it cannot be read, asks for a name that is not there, or comes to no number
 *   or text.
 */
export function evaluated(formula: string, names: ReadonlyMap<string, number | string>): number | string {
  let node: MathNode;
  try {
    node = parse(formula);
  } catch (error) {
    throw new FormulaError(`The formula ${formula} cannot be read: ${error instanceof Error ? error.message : error}.`);
  }
  node.traverse((part) => refuseOther(part, formula, names));
  const scope = new Map<string, unknown>([...Object.entries(KNOWN), ...Object.entries(CONSTANTS), ...names]);
  let value: unknown;
  try {
    value = node.evaluate(scope);
  } catch (error) {
    throw new FormulaError(`The formula ${formula} fails: ${error instanceof Error ? error.message : error}.`);
  }
  if (typeof value === "string" || (typeof value === "number" && Number.isFinite(value))) return value;
  throw new FormulaError(`The formula ${formula} comes to no number.`);
}

export class FormulaError extends Error {}

function refuseOther(part: MathNode, formula: string, names: ReadonlyMap<string, unknown>): void {
  const given = part as MathNode & { readonly op?: string; readonly name?: string };
  switch (part.type) {
    case "ConstantNode":
    case "ParenthesisNode":
      return;
    case "OperatorNode":
      if (OPERATORS.has(given.op ?? "")) return;
      throw new FormulaError(`The formula ${formula} has ${given.op}; allowed are + - * / ^ and %.`);
    case "FunctionNode":
      return; // its name is a SymbolNode, looked at for itself
    case "SymbolNode": {
      const { name = "" } = given;
      if (names.has(name) || Object.hasOwn(KNOWN, name) || Object.hasOwn(CONSTANTS, name)) return;
      throw new FormulaError(
        `The formula ${formula} has the name ${name}; there are ${[...names.keys(), ...Object.keys(KNOWN), "pi"].join(", ")}.`,
      );
    }
    default:
      throw new FormulaError(`The formula ${formula} has what is no arithmetic.`);
  }
}
