import { parseSync } from "vite";
import { isNode, type Node, nodesOf } from "./syntax-nodes.ts";

/** What of a page's source can be read on the screen. */
export interface SeenWords {
  /** Of each button, link, fold, label and legend its words, without those that are only heard; computed parts left out. */
  readonly things: readonly { readonly element: string; readonly words: string }[];
  /** Every text and string, each trimmed. */
  readonly all: ReadonlySet<string>;
}

const THINGS = new Set(["button", "a", "summary", "label", "legend", "option", "h2"]);

/** @throws SyntaxError if the text cannot be read, since what is not read cannot be compared. */
export function seenWords(file: string, text: string): SeenWords {
  const { program, errors } = parseSync(file, text);
  const error = errors[0];
  if (error) throw new SyntaxError(`${file}: ${error.message}`);
  const all = new Set<string>();
  const things: { element: string; words: string }[] = [];
  for (const node of nodesOf(program)) {
    const own = textOf(node);
    if (own !== undefined) all.add(tidy(own));
    if (node["type"] !== "JSXElement") continue;
    const element = nameOf(node);
    if (!THINGS.has(element)) continue;
    const words = tidy(wordsOf(node));
    if (words !== "") things.push({ element, words });
  }
  for (const { words } of things) all.add(words);
  return { things, all };
}

/** Plain text below an element; conditions and names of values are left out, since they are not known here. */
function wordsOf(node: Node): string {
  const children = Array.isArray(node["children"]) ? node["children"].filter(isNode) : [];
  return children
    .map((child) => {
      if (child["type"] === "JSXText")
        return String(child["value"]).includes("\n") ? ` ${tidy(String(child["value"]))} ` : String(child["value"]);
      if (child["type"] === "JSXElement") return isOnlyHeard(child) ? "" : wordsOf(child);
      const inner = child["expression"];
      return isNode(inner) ? (textOf(inner) ?? "") : "";
    })
    .join("");
}

function textOf(node: Node): string | undefined {
  if (node["type"] === "JSXText") return String(node["value"]);
  if (node["type"] === "Literal" && typeof node["value"] === "string") return node["value"];
  if (node["type"] !== "TemplateElement" || !isNode(node["value"])) return undefined;
  return String(node["value"]["cooked"]);
}

function nameOf(element: Node): string {
  const opening = element["openingElement"];
  const name = isNode(opening) ? opening["name"] : undefined;
  return isNode(name) ? String(name["name"]) : "";
}

function isOnlyHeard(element: Node): boolean {
  return JSON.stringify(isNode(element["openingElement"]) ? element["openingElement"]["attributes"] : []).includes(
    "heard-only",
  );
}

function tidy(text: string): string {
  return text.replace(/\s+/g, " ").trim();
}
