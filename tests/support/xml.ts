export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  /** Text of this element and of those in it, with references resolved. */
  readonly text: string;
  readonly children: readonly XmlElement[];
}

const NAME = "[A-Za-z_][A-Za-z0-9_.:-]*";
const TOKEN = new RegExp(`<\\?xml [^?]*\\?>|<(/?)(${NAME})((?:\\s+${NAME}="[^"<]*")*)\\s*(/?)>|([^<]+)`, "y");

/**
 * Reads a document of elements, attributes in double quotes, and text.
 *
 * @throws Error with the place of what is not well formed, or of what such a document does not use.
 * @source Extensible Markup Language (XML) 1.0, 2.2 (characters), 2.4 (text), 3.1 (tags), 4.1 (references).
 */
export function xmlElement(document: string): XmlElement {
  interface Open {
    name: string;
    attributes: Record<string, string>;
    text: string;
    children: Open[];
  }
  const stack: Open[] = [{ name: "", attributes: {}, text: "", children: [] }];
  const reader = new RegExp(TOKEN);
  while (reader.lastIndex < document.length) {
    const at = reader.lastIndex;
    const found = reader.exec(document);
    if (!found) throw new Error(`not well formed at ${at}: ${document.slice(at, at + 60)}`);
    const [, closing, name, written = "", alone, text] = found;
    const here = stack.at(-1)!;
    if (text !== undefined) here.text += resolved(text);
    if (name === undefined) continue;
    if (closing === "/") {
      if (stack.length < 2 || here.name !== name) throw new Error(`</${name}> at ${at} closes <${here.name}>`);
      stack.pop();
      stack.at(-1)!.text += here.text;
      continue;
    }
    const attributes: Record<string, string> = {};
    for (const [, key = "", value = ""] of written.matchAll(new RegExp(`(${NAME})="([^"]*)"`, "g"))) {
      if (key in attributes) throw new Error(`${key} stands twice in <${name}> at ${at}`);
      attributes[key] = resolved(value);
    }
    const element: Open = { name, attributes, text: "", children: [] };
    here.children.push(element);
    if (alone !== "/") stack.push(element);
  }
  const [root, ...more] = stack[0]!.children;
  if (stack.length > 1 || !root || more.length > 0) throw new Error("there is not one element that holds all others");
  return root;
}

/** All elements of a kind, in order. */
export function elementsNamed(element: XmlElement, name: string): XmlElement[] {
  const inside = element.children.flatMap((child) => elementsNamed(child, name));
  return element.name === name ? [element, ...inside] : inside;
}

const LETTERS: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', "#39": "'" };

function resolved(text: string): string {
  if (/[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/u.test(text)) {
    throw new Error(`a character that XML does not know: ${JSON.stringify(text)}`);
  }
  return text.replace(/&([^;]*;?)/g, (reference, name: string) => {
    const letter = LETTERS[name.replace(/;$/, "")];
    if (!name.endsWith(";") || letter === undefined) throw new Error(`unknown reference ${reference}`);
    return letter;
  });
}
