type Pdf = PDFKit.PDFDocument;

/** What no page break parts. */
export interface Piece {
  readonly heightPt: number;
  /** It does not end a page: what follows stays with it. */
  readonly keepsNext: boolean;
  /** Nothing is drawn: at the end of a page it takes no other. */
  readonly isGap?: true;
  /** @param topPt Where it begins, from the top of the page. */
  readonly draw: (topPt: number) => void;
  /** What is drawn above it where it begins a page that the table before it goes on to. */
  readonly headAgain?: { readonly heightPt: number; readonly draw: (topPt: number) => void };
}

/** Puts pieces on pages from top to bottom; more than a page together, those that should stay together do not. */
export function putOnPages(
  doc: Pdf,
  pieces: readonly Piece[],
  { topPt, bottomPt }: { topPt: number; bottomPt: number },
): void {
  let y = topPt;
  for (let i = 0; i < pieces.length; ) {
    const together = togetherFrom(pieces, i);
    const heightPt = together.reduce((sum, piece) => sum + piece.heightPt, 0);
    if (y > topPt && y + heightPt > bottomPt && !together.every(({ isGap }) => isGap)) {
      doc.addPage();
      y = topPt;
    }
    for (const piece of together) {
      if (!piece.isGap && y > topPt && y + piece.heightPt > bottomPt) {
        doc.addPage();
        y = topPt;
      }
      if (y === topPt && piece.headAgain) {
        piece.headAgain.draw(y);
        y += piece.headAgain.heightPt;
      }
      piece.draw(y);
      y += piece.heightPt;
    }
    i += together.length;
  }
}

function togetherFrom(pieces: readonly Piece[], from: number): readonly Piece[] {
  let end = from;
  while (end < pieces.length - 1 && pieces[end]?.keepsNext) end += 1;
  return pieces.slice(from, end + 1);
}
