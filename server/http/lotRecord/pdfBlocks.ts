import type { Block, Column, Fact, Figure, Paragraph, RecordDocument, Section, Signatures, Table } from "./document.ts";
import { LETTERS_PX, type Shape } from "./drawing.ts";
import type { Piece } from "./pdfPages.ts";
import { BOLD, type Look, type PdfText, PLAIN, type Span } from "./pdfText.ts";

type Pdf = PDFKit.PDFDocument;
type Element = PDFKit.PDFStructureElement;

/** Where a record is put, and with what. */
export interface Press {
  readonly doc: Pdf;
  readonly text: PdfText;
  /** The structure that a reader follows; everything that is drawn hangs on it or is marked as no content. */
  readonly root: Element;
  readonly leftPt: number;
  readonly widthPt: number;
}

/** A CSS pixel is the 96th part of an inch, a point the 72nd: the sizes are those of the page to print. */
const PX = 0.75;
const SIZE_PT = 12 * PX;
const LINE_PT = 14 * PX;
const TITLE_PT = 20 * PX;
const TITLE_LINE_PT = 24 * PX;
/** From the top of a line to the base line of its letters. */
const BASE_PT = 10.8 * PX;
const LABEL_PT = 104 * PX;
const GAP_PT = 8 * PX;
const ABOVE_PT = 3 * PX;
const BELOW_PT = 4 * PX;
const CELL_PT = 1.5 * PX;
const SIGN_ROOM_PT = 26 * PX;

/** A record in pieces that no page break parts, from top to bottom. */
export function recordPieces(record: RecordDocument, press: Press): readonly Piece[] {
  const heading = press.doc.struct("H1");
  press.root.add(heading);
  const lines = press.text.linesOf([{ text: record.title, look: BOLD }], TITLE_PT, press.widthPt);
  const title: Piece = {
    heightPt: lines.length * TITLE_LINE_PT + BELOW_PT,
    keepsNext: true,
    draw: (topPt) =>
      tagged(heading, () => {
        for (const [i, spans] of lines.entries()) {
          press.text.draw(spans, press.leftPt, topPt + i * TITLE_LINE_PT + TITLE_PT, TITLE_PT);
        }
      }),
  };
  return [title, ...record.sections.flatMap((section) => sectionPieces(section, press))];
}

function sectionPieces({ heading, across, whole, blocks }: Section, press: Press): readonly Piece[] {
  const { doc, root, text, leftPt, widthPt } = press;
  const part = doc.struct("Sect");
  root.add(part);
  const head = doc.struct("H2");
  part.add(head);
  const labelPt = across ? 0 : LABEL_PT;
  const inner = { ...press, root: part, leftPt: leftPt + labelPt, widthPt: widthPt - labelPt };
  const label = text.linesOf([{ text: heading, look: BOLD }], SIZE_PT, across ? widthPt : LABEL_PT - GAP_PT);
  const drawLabel = (topPt: number) => {
    rule(doc, leftPt, leftPt + widthPt, topPt, 0.75);
    tagged(head, () => drawLines(press, label, leftPt, topPt + ABOVE_PT));
  };
  const labelHeightPt = label.length * LINE_PT;
  const pieces = blocks.flatMap((block, i) => {
    const own = blockPieces(block, inner);
    // What explains a table stands on its page.
    const explains = block.kind === "paragraph" && blocks[i + 1]?.kind === "table";
    return explains ? own.map((piece) => ({ ...piece, keepsNext: true })) : own;
  });
  const kept = whole
    ? pieces.map((piece, i) => ({ ...piece, keepsNext: piece.keepsNext || i < pieces.length - 1 }))
    : pieces;
  const below: Piece = { heightPt: BELOW_PT, keepsNext: false, isGap: true, draw: () => {} };
  if (across) {
    return [{ heightPt: ABOVE_PT + labelHeightPt, keepsNext: true, draw: drawLabel }, ...kept, below];
  }
  const [first, ...rest] = kept;
  if (!first) return [{ heightPt: ABOVE_PT + labelHeightPt, keepsNext: false, draw: drawLabel }, below];
  const restPt = rest.reduce((sum, { heightPt }) => sum + heightPt, 0);
  const beside: Piece = {
    ...first,
    // Where the texts are shorter than the heading beside them.
    heightPt: ABOVE_PT + Math.max(first.heightPt, labelHeightPt - restPt),
    draw: (topPt) => {
      drawLabel(topPt);
      first.draw(topPt + ABOVE_PT);
    },
  };
  return [beside, ...rest, below];
}

function blockPieces(block: Block, press: Press): readonly Piece[] {
  switch (block.kind) {
    case "paragraph":
      return paragraphPieces(block, press);
    case "facts":
      return block.rows.map((facts) => factsPiece(facts, press));
    case "table":
      return tablePieces(block, press);
    case "figure":
      return figurePieces(block, press);
    case "signatures":
      return [signaturesPiece(block, press)];
    default:
      return block satisfies never;
  }
}

/** A short one in one piece, a long one in pairs of lines. */
function paragraphPieces({ lead, text: words }: Paragraph, press: Press): readonly Piece[] {
  const spans =
    lead === ""
      ? [{ text: words, look: PLAIN }]
      : [
          { text: lead, look: BOLD },
          { text: ` ${words}`, look: PLAIN },
        ];
  const lines = press.text.linesOf(spans, SIZE_PT, press.widthPt);
  const element = press.doc.struct("P");
  press.root.add(element);
  const size = lines.length <= WHOLE_LINES ? lines.length : 2;
  return Array.from({ length: Math.ceil(lines.length / size) }, (_, i) => {
    const some = lines.slice(i * size, (i + 1) * size);
    // The last line of a paragraph is not alone on a page.
    const beforeLast = lines.length - (i + 1) * size === 1;
    return {
      heightPt: some.length * LINE_PT,
      keepsNext: beforeLast,
      draw: (topPt: number) => tagged(element, () => drawLines(press, some, press.leftPt, topPt)),
    };
  });
}

const WHOLE_LINES = 5;

function factsPiece(facts: readonly Fact[], press: Press): Piece {
  const columns = columnsOf(facts, press, 8 * PX);
  const cells = facts.map(({ name, value }, i) => {
    const widthPt = columns[i]?.widthPt ?? 0;
    return {
      leftPt: columns[i]?.leftPt ?? 0,
      // What is read aloud or copied does not run into the value.
      names: press.text.linesOf([{ text: `${name} `, look: PLAIN }], SIZE_PT, widthPt),
      values: press.text.linesOf([{ text: value, look: BOLD }], SIZE_PT, widthPt),
      element: added(press, "P"),
    };
  });
  return {
    heightPt: Math.max(...cells.map(({ names, values }) => names.length + values.length)) * LINE_PT + 2 * PX,
    keepsNext: false,
    draw: (topPt) => {
      for (const { leftPt, names, values, element } of cells) {
        tagged(element, () => {
          drawLines(press, names, leftPt, topPt);
          drawLines(press, values, leftPt, topPt + names.length * LINE_PT);
        });
      }
    },
  };
}

function tablePieces({ columns, rows }: Table, press: Press): readonly Piece[] {
  const { doc } = press;
  const table = added(press, "Table");
  const places = columnsOf(columns, press, GAP_PT);
  const row = (cells: readonly string[], isHead: boolean) => {
    const laid = cells.map((cell, i) => {
      const { holds } = columns[i] ?? { holds: "words" };
      const look: Look = { bold: isHead || i === 0, fixed: holds === "identities" && !isHead };
      return press.text.linesOf([{ text: cell, look }], SIZE_PT, places[i]?.widthPt ?? 0);
    });
    const most = Math.max(...laid.map(({ length }) => length));
    const drawCell = (i: number, topPt: number) => {
      const [place, lines] = [places[i], laid[i]];
      if (!place || !lines) return;
      // Heads stand on the line below them.
      const y = topPt + CELL_PT + (isHead ? (most - lines.length) * LINE_PT : 0);
      drawLines(press, lines, place.leftPt, y, columns[i]?.holds === "figures" ? place.widthPt : undefined);
    };
    const drawRule = (topPt: number) =>
      rule(doc, press.leftPt, press.leftPt + press.widthPt, topPt, isHead ? 0.75 : 0.4);
    return { heightPt: most * LINE_PT + 2 * CELL_PT, cells, drawCell, drawRule };
  };
  const heads = columns.map(({ name }) => name);
  const head = row(heads, true);
  const drawTagged = (one: ReturnType<typeof row>, isHead: boolean) => (topPt: number) => {
    one.drawRule(topPt);
    const tr = doc.struct("TR");
    table.add(tr);
    for (const [i] of one.cells.entries()) {
      const kind = isHead ? { type: "TH", scope: "Column" } : i === 0 ? { type: "TH", scope: "Row" } : { type: "TD" };
      const element = "scope" in kind ? doc.struct(kind.type, scoped(kind.scope)) : doc.struct(kind.type);
      tr.add(element);
      tagged(element, () => one.drawCell(i, topPt));
    }
  };
  const headAgain = {
    heightPt: head.heightPt,
    draw: (topPt: number) => {
      head.drawRule(topPt);
      doc.markContent("Artifact", { type: "Pagination" });
      for (const [i] of heads.entries()) head.drawCell(i, topPt);
      doc.endMarkedContent();
    },
  };
  const body = rows.map((cells, i): Piece => {
    const one = row(cells, false);
    // Neither the first row nor the last is alone.
    const keepsNext = i === 0 || i === rows.length - 2;
    return {
      heightPt: one.heightPt,
      keepsNext: keepsNext && i < rows.length - 1,
      draw: drawTagged(one, false),
      ...(i > 0 ? { headAgain } : {}),
    };
  });
  const close: Piece = {
    heightPt: 3 * PX,
    keepsNext: false,
    draw: (topPt) => rule(doc, press.leftPt, press.leftPt + press.widthPt, topPt, 0.4),
  };
  const last = body.at(-1);
  const kept = last ? [...body.slice(0, -1), { ...last, keepsNext: true }] : body;
  return [{ heightPt: head.heightPt, keepsNext: true, draw: drawTagged(head, true) }, ...kept, close];
}

/** The declarations of the library do not know the scope of a head yet, which its code does. */
function scoped(scope: string): { readonly title?: string } {
  return { scope } as { readonly title?: string };
}

function figurePieces({ title, says, drawing }: Figure, press: Press): readonly Piece[] {
  const [caption] = paragraphPieces({ kind: "paragraph", lead: title, text: "" }, press);
  const element = added(press, "Figure", { alt: says });
  const figure: Piece = {
    heightPt: drawing.heightPx * PX + 4 * PX,
    keepsNext: false,
    draw: (topPt) =>
      tagged(element, () => {
        for (const shape of drawing.shapes) drawShape(shape, press, press.leftPt, topPt + 2 * PX);
      }),
  };
  return caption ? [{ ...caption, keepsNext: true }, figure] : [figure];
}

function drawShape(shape: Shape, { doc, text }: Press, leftPt: number, topPt: number): void {
  if (shape.kind === "text") {
    const spans = [{ text: shape.text, look: shape.bold ? BOLD : PLAIN }];
    const width = text.widthOf(spans, LETTERS_PX * PX);
    const back = shape.anchor === "start" ? 0 : shape.anchor === "middle" ? width / 2 : width;
    text.draw(spans, leftPt + shape.x * PX - back, topPt + shape.y * PX, LETTERS_PX * PX);
    return;
  }
  doc.save().translate(leftPt, topPt).scale(PX);
  doc.path(shape.d);
  if (shape.filled) doc.fill("#000");
  else {
    doc.lineWidth(shape.linePx);
    if (shape.dashed) doc.dash(4, { space: 3 });
    doc.stroke("#000");
  }
  doc.restore();
}

function signaturesPiece({ places }: Signatures, press: Press): Piece {
  const gapPt = 32 * PX;
  const widthPt = (press.widthPt - (places.length - 1) * gapPt) / places.length;
  const cells = places.map((place, i) => ({
    leftPt: press.leftPt + i * (widthPt + gapPt),
    lines: press.text.linesOf([{ text: place, look: PLAIN }], SIZE_PT, widthPt),
    element: added(press, "P"),
  }));
  return {
    heightPt: SIGN_ROOM_PT + LINE_PT * Math.max(...cells.map(({ lines }) => lines.length)),
    keepsNext: false,
    draw: (topPt) => {
      for (const { leftPt, lines, element } of cells) {
        rule(press.doc, leftPt, leftPt + widthPt, topPt + SIGN_ROOM_PT, 0.75);
        tagged(element, () => drawLines(press, lines, leftPt, topPt + SIGN_ROOM_PT));
      }
    },
  };
}

/** Where columns of these shares begin, and how wide they are without the gap at their right. */
function columnsOf(columns: readonly Pick<Column | Fact, "share">[], { leftPt, widthPt }: Press, gapPt: number) {
  const sum = columns.reduce((all, { share }) => all + share, 0);
  let from = leftPt;
  return columns.map(({ share }) => {
    const column = { leftPt: from, widthPt: (widthPt * share) / sum - gapPt };
    from += (widthPt * share) / sum;
    return column;
  });
}

/** @param endPt Width at whose end each line ends; `undefined`: lines begin at the left. */
function drawLines(
  { text }: Press,
  lines: readonly (readonly Span[])[],
  leftPt: number,
  topPt: number,
  endPt?: number,
): void {
  for (const [i, spans] of lines.entries()) {
    const x = endPt === undefined ? leftPt : leftPt + endPt - text.widthOf(withoutEndSpace(spans), SIZE_PT);
    text.draw(spans, x, topPt + i * LINE_PT + BASE_PT, SIZE_PT);
  }
}

function withoutEndSpace(spans: readonly Span[]): readonly Span[] {
  return spans.map((span, i) => (i === spans.length - 1 ? { ...span, text: span.text.trimEnd() } : span));
}

/** A line that says nothing. */
function rule(doc: Pdf, fromPt: number, toPt: number, yPt: number, linePt: number): void {
  doc.markContent("Artifact", { type: "Layout" });
  doc.save().lineWidth(linePt).moveTo(fromPt, yPt).lineTo(toPt, yPt).stroke("#000").restore();
  doc.endMarkedContent();
}

function added({ doc, root }: Press, type: string, options: { alt?: string } = {}): Element {
  const element = doc.struct(type, options);
  root.add(element);
  return element;
}

/** Draws as the content of an element of the structure. */
function tagged(element: Element, draw: () => void): void {
  element.add(draw);
}
