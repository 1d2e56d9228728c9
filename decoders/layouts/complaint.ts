import type { z } from "zod";

/** One thing wrong with a file or a line: where, what stands there, and what would be taken. */
export interface Complaint {
  /** Path of the offending key, such as `fields[2].bits`; empty for the whole. */
  readonly path: string;
  readonly found: string;
  readonly allowed: string;
}

/** A complaint as one line: `fields[2].bits: found 70, allowed 1 to 64`. */
export function complaintLine(complaint: Complaint): string {
  return `${complaint.path || "the whole"}: found ${complaint.found}, allowed ${complaint.allowed}`;
}

/** Every issue of a zod error as a complaint; `input` is what was parsed. Never empty. */
export function complaintsOf(error: z.ZodError, input: unknown): Complaint[] {
  return error.issues.flatMap((issue) => fromIssue(issue, input, []));
}

/** What stands there, short enough for one line. */
export function shown(value: unknown): string {
  if (value === undefined) return "nothing";
  const text =
    typeof value === "bigint" || typeof value === "number" ? String(value) : (JSON.stringify(value) ?? typeof value);
  // Control characters are escaped by JSON; what is left that would break a line or steer a terminal is masked.
  const oneLine = text.replace(/[\u007f-\u009f\u2028\u2029]/g, "?");
  return oneLine.length > 60 ? `${oneLine.slice(0, 57)}…` : oneLine;
}

/** `["fields", 2, "bits"]` as `fields[2].bits`; a key that is no plain word is shown quoted. */
function pathText(path: readonly PropertyKey[]): string {
  let text = "";
  for (const part of path) {
    if (typeof part === "number") text += `[${part}]`;
    else if (/^[A-Za-z_][\w:-]{0,60}$/.test(String(part))) text += text ? `.${String(part)}` : String(part);
    else text += `[${shown(String(part))}]`;
  }
  return text;
}

type Issue = z.core.$ZodIssue;

function fromIssue(issue: Issue, input: unknown, prefix: readonly PropertyKey[]): Complaint[] {
  const path = [...prefix, ...issue.path];
  const found = shown(at(input, path));
  switch (issue.code) {
    case "unrecognized_keys":
      return issue.keys.map((key) => ({
        path: pathText([...path, key]),
        found: shown(at(input, [...path, key])),
        allowed: "no such key",
      }));
    case "invalid_union": {
      if (issue.discriminator !== undefined) {
        const here = [...path];
        if (here.at(-1) !== issue.discriminator) here.push(issue.discriminator);
        return [{ path: pathText(here), found: shown(at(input, here)), allowed: optionsOf(issue) }];
      }
      const branch = nearestBranch(issue.errors);
      return branch.flatMap((inner) => fromIssue(inner, input, path));
    }
    case "invalid_key":
      return [{ path: pathText(path), found: shown(String(path.at(-1))), allowed: wording(issue.issues[0]) }];
    default:
      return [{ path: pathText(path), found, allowed: wording(issue) }];
  }
}

/** The union's branch that fitted best: the one whose complaints lie deepest. */
function nearestBranch(branches: readonly Issue[][]): Issue[] {
  const depth = (branch: Issue[]) => Math.max(0, ...branch.map((issue) => issue.path.length));
  return branches.reduce((best, branch) => (depth(branch) > depth(best) ? branch : best), branches[0] ?? []);
}

function optionsOf(issue: Issue): string {
  const options = "options" in issue && Array.isArray(issue.options) ? issue.options : [];
  return options.length > 0 ? options.map((option) => shown(option)).join(", ") : "one of the kinds the contract lists";
}

function wording(issue: Issue | undefined): string {
  if (!issue) return "something else";
  switch (issue.code) {
    case "invalid_type":
      return TYPE_WORDS[issue.expected] ?? String(issue.expected);
    case "invalid_value":
      return issue.values.map((value) => shown(value)).join(", ");
    case "too_small":
      return bound("at least", "more than", issue.minimum, issue.inclusive ?? true, issue.origin);
    case "too_big":
      return bound("at most", "less than", issue.maximum, issue.inclusive ?? true, issue.origin);
    default:
      return issue.message;
  }
}

const TYPE_WORDS: Record<string, string> = {
  int: "a whole number",
  number: "a number",
  string: "text",
  boolean: "true or false",
  array: "a list",
  object: "an object",
  tuple: "a list of two",
  record: "an object",
};

function bound(closed: string, open: string, limit: number | bigint, inclusive: boolean, origin: string): string {
  const unit =
    origin === "string"
      ? limit === 1
        ? " character"
        : " characters"
      : origin === "array"
        ? limit === 1
          ? " entry"
          : " entries"
        : "";
  return `${inclusive ? closed : open} ${limit}${unit}`;
}

function at(input: unknown, path: readonly PropertyKey[]): unknown {
  let value = input;
  for (const key of path) {
    if (value === null || typeof value !== "object" || !Object.hasOwn(value, key)) return undefined;
    value = (value as Record<PropertyKey, unknown>)[key];
  }
  return value;
}
