import type { Paper } from "../sheet/style.ts";
import type { Drawing } from "./drawing.ts";

/**
 * A record as words, tables and figures, before anybody has decided how it is put on paper: the page and the PDF are both
 * made of this and of nothing else, so neither can say what the other does not.
 */
export interface RecordDocument {
  readonly title: string;
  /** At the foot of each page. */
  readonly foot: string;
  /** RFC 3339. */
  readonly printedAt: string;
  /** Program and version. */
  readonly madeBy: string;
  readonly lotId: string;
  /** `undefined`: whatever the printer has. */
  readonly paper: Paper | undefined;
  readonly sections: readonly Section[];
}

export interface Section {
  readonly heading: string;
  /** Over the whole width, the heading above; else the heading stands at the side. */
  readonly across: boolean;
  /** No page ends inside it, where it fits on one. A figure, a row and the lines to sign never break. */
  readonly whole: boolean;
  readonly blocks: readonly Block[];
}

export type Block = Paragraph | Facts | Table | Figure | Signatures;

export interface Paragraph {
  readonly kind: "paragraph";
  /** In front of the text, bold; empty: none. */
  readonly lead: string;
  readonly text: string;
}

/** Names with their values, row by row. */
export interface Facts {
  readonly kind: "facts";
  readonly rows: readonly (readonly Fact[])[];
}

export interface Fact {
  readonly name: string;
  readonly value: string;
  /** Of the row's width, against those of its neighbours. */
  readonly share: number;
}

/** Its head comes again on each page that it goes on to; the first cell of a row is the row's head. */
export interface Table {
  readonly kind: "table";
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly string[])[];
}

export interface Column {
  readonly name: string;
  /** Figures end at the right, identities have letters of one width. */
  readonly holds: "words" | "figures" | "identities";
  /** Of the table's width, against those of its neighbours. */
  readonly share: number;
}

/** What it shows stands above it as a sentence. */
export interface Figure {
  readonly kind: "figure";
  readonly title: string;
  /** For who cannot see it. */
  readonly says: string;
  readonly drawing: Drawing;
}

export interface Signatures {
  readonly kind: "signatures";
  readonly places: readonly string[];
}

/** @param lead Bold, in front; empty: none. */
export function paragraph(text: string, lead = ""): Paragraph {
  return { kind: "paragraph", lead, text };
}

/** Every sentence, name, value and cell in the order in which it stands; empty ones left out. */
export function wordsOf({ title, sections }: RecordDocument): readonly string[] {
  const words = sections.flatMap(({ heading, blocks }) => [heading, ...blocks.flatMap(wordsOfBlock)]);
  return [title, ...words].filter((one) => one !== "");
}

function wordsOfBlock(block: Block): readonly string[] {
  switch (block.kind) {
    case "paragraph":
      return [block.lead, block.text];
    case "facts":
      return block.rows.flat().flatMap(({ name, value }) => [name, value]);
    case "table":
      return [...block.columns.map(({ name }) => name), ...block.rows.flat()];
    case "figure":
      return [block.title, ...block.drawing.shapes.flatMap((shape) => (shape.kind === "text" ? [shape.text] : []))];
    case "signatures":
      return block.places;
    default:
      return block satisfies never;
  }
}
