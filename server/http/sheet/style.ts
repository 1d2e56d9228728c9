/**
 * What A4 and Letter both have room for, inside margins of 10 mm at the sides and 8 mm above and below: the width of A4
 * and the height of Letter, in px.
 */
export const SHEET_PX = { width: 718, height: 995 } as const;

/** Height of a line of type. */
export const LINE_PX = 14;
/** Width of the headings at the side. */
export const LABEL_PX = 104;
/** Height of a section beside its lines: room above and below, and the rule. */
export const SECTION_PX = 7;
/** Height of a row of the wheels beside its lines. */
export const ROW_PX = 5;
/** Height of what stands above the facts. */
export const TITLE_PX = 28;
const SIGN_ROOM_PX = 30;
/** Height of the lines to sign. */
export const SIGN_PX = 7 + 2 * LINE_PX + SIGN_ROOM_PX;
/** Columns of the wheels, in px; the finding has what is left. */
export const COLUMN_PX = { wheel: 76, ids: 124, carrier: 72, state: 56, pressure: 62 } as const;
/** Widths of the facts, row by row; with the gaps they fill a line. */
export const FACT_PX = {
  plate: 130,
  vehicle: 268,
  odometer: 110,
  day: 110,
  job: 76,
  visit: 270,
  placard: 314,
  tyre: 122,
};
/** Room at the right of a cell. */
export const GAP_PX = 6;

export type Paper = "a4" | "letter";

/**
 * The size of the paper. A printer gives its own where a page names none.
 *
 * @source ISO 216 (A4: 210 mm by 297 mm); ANSI/ASME Y14.1 (A, Letter: 8.5 in by 11 in); from memory.
 */
export const PAPER_CSS: Readonly<Record<Paper, string>> = {
  a4: "@page { size: 210mm 297mm; }\n",
  letter: "@page { size: 8.5in 11in; }\n",
};

const columns = Object.entries(COLUMN_PX).map(([name, px]) => `  .wheels .${name} { width: ${px}px; }`);
const facts = Object.entries(FACT_PX).map(([name, px]) => `  .facts .${name} { flex: 0 0 ${px}px; }`);

/** Black on white, on screen too. On paper everything has the heights that the texts are cut to. */
export const SHEET_CSS = `:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #000; font-family: "Liberation Sans", Arial, Helvetica, sans-serif; overflow-wrap: anywhere; }
h1, h2, p, dl, dd, table { margin: 0; }
a { color: #000; }
:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
.wheels td.ids { font-family: "Liberation Mono", "Courier New", ui-monospace, monospace; }
.wheels { border-collapse: collapse; width: 100%; }
.wheels th, .wheels td { text-align: left; vertical-align: top; font-weight: normal; }
.wheels thead th, .wheels tbody th { font-weight: bold; }
.wheels span { display: block; }
.sign { display: flex; gap: 32px; }
.sign span { flex: 1; border-top: 1px solid #000; }
@media screen {
  body { font-size: 16px; line-height: 1.5; }
  main { max-width: 68rem; margin: 0 auto; padding: 16px; }
  h1 { font-size: 28px; line-height: 1.2; }
  h2 { font-size: 16px; }
  p { max-width: 68ch; }
  .hint { border: 1px solid #000; padding: 8px 12px; margin-bottom: 16px; max-width: none; }
  .hint a { display: inline-block; padding: 4px 0; margin-right: 12px; }
  .facts { display: flex; flex-wrap: wrap; gap: 8px 32px; padding: 12px 0; }
  .facts dd { font-weight: bold; }
  section { border-top: 1px solid #000; padding: 12px 0; }
  .wheels th, .wheels td { padding: 8px 12px 8px 0; border-top: 1px solid #000; }
  .wheels .figure span { white-space: nowrap; }
  .sign { padding-top: 64px; flex-wrap: wrap; }
  .sign span { min-width: 240px; }
}
@media screen and (min-width: 701px) {
  .wheels { overflow-wrap: break-word; }
  .wheels .ids { width: 11rem; }
  section { display: grid; grid-template-columns: 9rem 1fr; column-gap: 16px; }
}
@media screen and (max-width: 960px) {
  .wheels { overflow-wrap: anywhere; }
  .wheels, .wheels tbody, .wheels tr, .wheels th, .wheels td { display: block; }
  .wheels thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .wheels tr { border-top: 1px solid #000; padding: 8px 0; }
  .wheels th, .wheels td { border: 0; padding: 2px 0; }
  .wheels td::before { content: attr(data-label) ": "; font-family: "Liberation Sans", Arial, Helvetica, sans-serif; }
  .wheels span { display: inline; }
  .wheels span + span::before { content: ", "; }
}
@page { margin: 8mm 10mm; }
@media print {
  body { font-size: 12px; line-height: ${LINE_PX}px; }
  main { max-width: ${SHEET_PX.width + 22}px; }
  .hint { display: none; }
  h1 { font-size: 20px; line-height: 22px; height: ${TITLE_PX}px; }
  h2 { font-size: 12px; line-height: ${LINE_PX}px; }
  .facts { display: flex; gap: ${GAP_PX}px; border-top: 1px solid #000; padding: 3px 0; break-inside: avoid; }
  .facts dd { font-weight: bold; }
${facts.join("\n")}
  section { display: grid; grid-template-columns: ${LABEL_PX - GAP_PX}px 1fr; column-gap: ${GAP_PX}px; border-top: 1px solid #000; padding: 3px 0; break-inside: avoid; }
  .wheels { table-layout: fixed; border-top: 2px solid #000; border-bottom: 1px solid #000; }
  .wheels th, .wheels td { padding: 2px ${GAP_PX}px 2px 0; border-top: 1px solid #000; }
  .wheels tr { break-inside: avoid; }
  .wheels .figure span { white-space: nowrap; }
${columns.join("\n")}
  .last { break-inside: avoid; }
  .sign { padding-top: ${SIGN_ROOM_PX}px; }
}
`;
