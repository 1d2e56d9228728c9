import { GAP_PX, LABEL_PX, LINE_PX } from "../sheet/style.ts";

/** Shares that a fact may have of its row. */
const SHARES = [1, 2, 3] as const;

/** Black on white, on screen too. */
export const LOT_RECORD_CSS = `:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: #000; font-family: "Liberation Sans", Arial, Helvetica, sans-serif; overflow-wrap: anywhere; }
h1, h2, p, dl, dd, table, figure { margin: 0; }
a { color: #000; }
:focus-visible { outline: 3px solid #000; outline-offset: 2px; }
.facts { display: flex; flex-wrap: wrap; }
.facts dd { font-weight: bold; }
${SHARES.map((share) => `.facts .share-${share} { flex: ${share} 1 0; }`).join("\n")}
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; font-weight: normal; border-top: 1px solid #000; }
thead th { font-weight: bold; vertical-align: bottom; overflow-wrap: normal; }
tbody th { font-weight: bold; }
.figures { text-align: right; font-variant-numeric: tabular-nums; }
td.identities { font-family: "Liberation Mono", "Courier New", ui-monospace, monospace; }
figcaption { font-weight: bold; }
svg { display: block; max-width: 100%; height: auto; }
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
  section { border-top: 1px solid #000; padding: 12px 0; margin-top: 12px; }
  .facts { gap: 8px 32px; padding-bottom: 8px; }
  .facts > div { min-width: 8rem; }
  .wide { overflow-x: auto; margin: 8px 0; }
  .wide table { min-width: 60rem; overflow-wrap: break-word; }
  .wide svg { max-width: none; }
  th, td { padding: 6px 12px 6px 0; }
  .sign { padding-top: 64px; flex-wrap: wrap; }
  .sign span { min-width: 240px; }
}
@media screen and (min-width: 701px) {
  .side { display: grid; grid-template-columns: 9rem 1fr; column-gap: 16px; }
}
@page { margin: 8mm 10mm 12mm; @bottom-right { content: "Page " counter(page) " of " counter(pages); font: 11px "Liberation Sans", Arial, Helvetica, sans-serif; } }
@media print {
  body { font-size: 12px; line-height: ${LINE_PX}px; }
  .hint { display: none; }
  h1 { font-size: 20px; line-height: 24px; padding-bottom: 6px; }
  h2 { font-size: 12px; line-height: ${LINE_PX}px; break-after: avoid; }
  section { border-top: 1px solid #000; padding: 3px 0 4px; }
  .side { display: grid; grid-template-columns: ${LABEL_PX - GAP_PX}px 1fr; column-gap: ${GAP_PX}px; }
  .whole, figure { break-inside: avoid; }
  .facts { gap: 0 8px; padding-bottom: 2px; }
  p { orphans: 2; widows: 2; }
  table { table-layout: fixed; margin: 2px 0; }
  th, td { padding: 1px 8px 1px 0; overflow-wrap: break-word; }
  thead { display: table-header-group; }
  tr { break-inside: avoid; }
  figure { padding: 2px 0; }
  .across p:has(+ .wide) { break-after: avoid; }
  .sign { padding-top: 34px; }
}
`;
