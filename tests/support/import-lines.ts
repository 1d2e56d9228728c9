import { parseSync } from "vite";
import { isNode, type Node, nodesOf } from "./syntax-nodes.ts";

/** One place where a file names another. */
export interface ImportLine {
  /** Counted from 1. */
  readonly line: number;
  /** As it stands there; `undefined` where it is computed, so that nobody can read it. */
  readonly target: string | undefined;
  /** Gone once the types are taken off. */
  readonly typeOnly: boolean;
}

/**
 * Every import of a TypeScript or JavaScript file: static, dynamic, of types, re-exports, `require`, glob imports and
 * files handed to a worker by URL.
 *
 * @param file Its ending chooses the language.
 * @throws SyntaxError if the text cannot be read, since what is not read cannot be checked.
 */
export function importLines(file: string, text: string): ImportLine[] {
  const { program, errors } = parseSync(file, text);
  const error = errors[0];
  if (error) throw new SyntaxError(`${file}: ${error.message}`);
  const lines: ImportLine[] = [];
  for (const node of nodesOf(program)) {
    const line = text.slice(0, Number(node["start"])).split("\n").length;
    for (const found of importsOf(node)) lines.push({ line, ...found });
  }
  for (const match of text.matchAll(/^\/\/\/\s*<reference\s+path="([^"]+)"/gm)) {
    lines.push({ line: text.slice(0, match.index).split("\n").length, target: match[1], typeOnly: true });
  }
  return lines;
}

type Found = Omit<ImportLine, "line">;

function importsOf(node: Node): Found[] {
  switch (node["type"]) {
    case "ImportDeclaration":
      return [{ target: textOf(node["source"]), typeOnly: isTypeOnly(node, "importKind") }];
    case "ExportNamedDeclaration":
    case "ExportAllDeclaration":
      if (!isNode(node["source"])) return []; // exports something of its own
      return [{ target: textOf(node["source"]), typeOnly: isTypeOnly(node, "exportKind") }];
    case "ImportExpression":
      return [{ target: textOf(node["source"]), typeOnly: false }];
    case "TSImportType":
      return [{ target: textOf(node["source"]), typeOnly: true }];
    case "TSExternalModuleReference":
      return [{ target: textOf(node["expression"]), typeOnly: false }];
    case "CallExpression":
      return isLoader(node["callee"]) ? stringsOf(argumentsOf(node)[0]) : [];
    case "NewExpression":
      return urlOfCode(node);
    default:
      return [];
  }
}

/** All its names are types, or the whole line is. */
function isTypeOnly(node: Node, kind: "importKind" | "exportKind"): boolean {
  const names = listOf(node["specifiers"]).filter(isNode);
  return node[kind] === "type" || (names.length > 0 && names.every((name) => name[kind] === "type"));
}

/** `require`, `require.resolve`, `import.meta.glob`, `import.meta.resolve`. */
function isLoader(callee: unknown): boolean {
  if (!isNode(callee)) return false;
  if (callee["type"] === "Identifier") return callee["name"] === "require";
  if (callee["type"] !== "MemberExpression" || !isNode(callee["object"]) || !isNode(callee["property"])) return false;
  const { object, property } = callee;
  if (!isNode(object) || !isNode(property)) return false;
  if (object["type"] === "MetaProperty") return property["name"] === "glob" || property["name"] === "resolve";
  return object["name"] === "require" && property["name"] === "resolve";
}

function stringsOf(argument: unknown): Found[] {
  const list = isNode(argument) && argument["type"] === "ArrayExpression" ? listOf(argument["elements"]) : [argument];
  return list.map((element) => ({ target: textOf(element), typeOnly: false }));
}

/** `new URL("./worker.ts", import.meta.url)`; folders and data files are no imports. */
function urlOfCode(node: Node): Found[] {
  const [path, base] = argumentsOf(node);
  const isUrl = isNode(node["callee"]) && node["callee"]["name"] === "URL" && base !== undefined;
  const target = textOf(path);
  return isUrl && target !== undefined && /\.[cm]?[jt]sx?$/.test(target) ? [{ target, typeOnly: false }] : [];
}

function textOf(node: unknown): string | undefined {
  if (!isNode(node)) return undefined;
  if (node["type"] === "Literal" && typeof node["value"] === "string") return node["value"];
  if (node["type"] !== "TemplateLiteral" || listOf(node["expressions"]).length > 0) return undefined;
  const [quasi] = listOf(node["quasis"]);
  return isNode(quasi) && isNode(quasi["value"]) ? String(quasi["value"]["cooked"]) : undefined;
}

function argumentsOf(node: Node): readonly unknown[] {
  return listOf(node["arguments"]);
}

function listOf(value: unknown): readonly unknown[] {
  return Array.isArray(value) ? value : [];
}
