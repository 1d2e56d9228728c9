import type { LotBody } from "../wire/lots.ts";
import type { RecordDocument } from "./document.ts";
import { readLetters } from "./letters.ts";
import { recordPieces } from "./pdfBlocks.ts";
import { putOnPages } from "./pdfPages.ts";
import { PLAIN, pdfText } from "./pdfText.ts";
import { lotRecord, type RecordContext } from "./record.ts";

/**
 * The record of a lot as a PDF: the same words, tables and figures as the page, tagged, its letters embedded. The same lot
 * at the same `printedAt` gives the same bytes.
 *
 * @throws RangeError as `lotRecord`, Error if the letters of the house are not where they should be.
 */
export async function lotRecordPdf(lot: LotBody, context: RecordContext): Promise<Uint8Array> {
  return recordPdf(lotRecord(lot, context));
}

const SIDE_PT = (10 / 25.4) * 72;
const TOP_PT = (8 / 25.4) * 72;
const FOOT_PT = (12 / 25.4) * 72;
const FOOT_SIZE_PT = 8.25;

/** The library puts a title into XML as it is: what XML would not take for text becomes a space. */
function plainOf(title: string): string {
  return title.replace(/[<>&\p{Cc}\p{Cs}]/gu, " ");
}

async function recordPdf(record: RecordDocument): Promise<Uint8Array> {
  // It takes a third of a second to load, which only who asks for a PDF has to wait for.
  const { default: PdfDocument } = await import("pdfkit");
  const { title, madeBy, printedAt, paper } = record;
  const madeAt = new Date(printedAt);
  const doc = new PdfDocument({
    size: paper === "letter" ? "LETTER" : "A4",
    margin: 0,
    bufferPages: true,
    pdfVersion: "1.7",
    lang: "en",
    tagged: true,
    displayTitle: true,
    info: { Title: plainOf(title), Creator: madeBy, CreationDate: madeAt, ModDate: madeAt },
  });
  const parts: Buffer[] = [];
  doc.on("data", (part: Buffer) => parts.push(part));
  const ended = new Promise<void>((resolve, reject) => doc.on("end", resolve).on("error", reject));
  const text = pdfText(doc, await readLetters());
  const root = doc.struct("Document");
  doc.addStructure(root);
  const area = { leftPt: SIDE_PT, widthPt: doc.page.width - 2 * SIDE_PT };
  const pieces = recordPieces(record, { doc, text, root, ...area });
  putOnPages(doc, pieces, { topPt: TOP_PT, bottomPt: doc.page.height - FOOT_PT });
  root.end();
  const { start, count } = doc.bufferedPageRange();
  for (let i = start; i < start + count; i++) {
    doc.switchToPage(i);
    const basePt = doc.page.height - TOP_PT;
    const number = [{ text: `Page ${i + 1} of ${count}`, look: PLAIN }];
    doc.markContent("Artifact", { type: "Pagination", attached: ["Bottom"] });
    text.draw([{ text: record.foot, look: PLAIN }], SIDE_PT, basePt, FOOT_SIZE_PT);
    text.draw(number, doc.page.width - SIDE_PT - text.widthOf(number, FOOT_SIZE_PT), basePt, FOOT_SIZE_PT);
    doc.endMarkedContent();
  }
  doc.end();
  await ended;
  return Buffer.concat(parts);
}
