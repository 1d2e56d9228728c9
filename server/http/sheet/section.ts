import { escaped } from "../page.ts";
import { cutToLines, type Flexible, linesOf } from "./fit.ts";
import { LABEL_PX, LINE_PX, SECTION_PX, SHEET_PX } from "./style.ts";

/** A text of a section; only what people typed is ever cut. */
export interface SheetText {
  /** In front of it, told apart; never cut. */
  readonly mark: string;
  readonly text: string;
  readonly cut: boolean;
}

/** A heading at the side and what stands beside it. */
export interface Section {
  readonly heading: string;
  readonly texts: readonly SheetText[];
}

export const MARK_NOT_TYPED = "Worked out, not typed:";

/** Plain text that stays whole. */
export function whole(text: string): SheetText {
  return { mark: "", text, cut: false };
}

/** How many lines a text wants, and how many it cannot do without. */
export function roomOf({ mark, text, cut }: SheetText): Flexible {
  const wanted = linesOf(`${mark} ${text}`, TEXT_PX);
  return { wanted, least: cut ? 1 : wanted };
}

/** Height of a section in px, beside its lines. */
export function fixedPxOf({ texts }: Section): number {
  return SECTION_PX + (texts.length === 0 ? LINE_PX : 0);
}

/** @param lines Of each text. */
export function sectionHtml({ heading, texts }: Section, lines: readonly number[]): string {
  const paragraphs = texts.map(({ mark, text, cut }, i) => {
    const shown = cut
      ? cutToLines(`${mark} ${text}`, lines[i] ?? 1, TEXT_PX)
          .slice(mark.length)
          .trim()
      : text;
    return `<p>${mark === "" ? "" : `<i>${escaped(mark)}</i> `}${escaped(shown)}</p>`;
  });
  return `<section><h2>${escaped(heading)}</h2><div>${paragraphs.join("")}</div></section>`;
}

const TEXT_PX = SHEET_PX.width - LABEL_PX;
