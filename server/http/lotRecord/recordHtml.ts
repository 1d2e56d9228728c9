import { escaped, page } from "../page.ts";
import type { LotBody } from "../wire/lots.ts";
import type { Block, Column, RecordDocument, Section, Table } from "./document.ts";
import { drawingSvg } from "./drawingSvg.ts";
import { lotRecord, type RecordContext } from "./record.ts";

/** The record of a lot as a page to print; its style is `/help/lot-record.css`. @throws RangeError as `lotRecord`. */
export function lotRecordPage(lot: LotBody, context: RecordContext): string {
  return recordHtml(lotRecord(lot, context));
}

/** A record as a page of its own, without scripts. */
function recordHtml({ title, sections, paper, lotId }: RecordDocument): string {
  const id = encodeURIComponent(lotId);
  const papers = (["a4", "letter"] as const).map((one) => {
    const name = one === "a4" ? "A4" : "Letter";
    return one === paper
      ? `<a href="?paper=${one}" aria-current="true">${name} (chosen)</a>`
      : `<a href="?paper=${one}">${name}</a>`;
  });
  return page(
    title,
    `<p class="hint">Print, or save as PDF, from the browser. Paper: ${papers.join(" ")} <a href="/bench/${id}">Back to the lot</a></p>
<h1>${escaped(title)}</h1>
${sections.map(sectionHtml).join("\n")}`,
    ["lot-record", ...(paper === undefined ? [] : [`sheet-${paper}`])],
  );
}

function sectionHtml({ heading, across, whole, blocks }: Section): string {
  const names = [across ? "across" : "side", ...(whole ? ["whole"] : [])].join(" ");
  return `<section class="${names}"><h2>${escaped(heading)}</h2><div>${blocks.map(blockHtml).join("\n")}</div></section>`;
}

function blockHtml(block: Block): string {
  switch (block.kind) {
    case "paragraph": {
      const { lead, text } = block;
      return `<p>${lead === "" ? "" : `<strong>${escaped(lead)}</strong> `}${escaped(text)}</p>`;
    }
    case "facts":
      return block.rows.map(factsHtml).join("\n");
    case "table":
      return tableHtml(block);
    case "figure":
      return `<figure><figcaption>${escaped(block.title)}</figcaption>${wide("Figure", drawingSvg(block.drawing, block.says))}</figure>`;
    case "signatures":
      return `<div class="sign">${block.places.map((place) => `<span>${escaped(place)}</span>`).join("")}</div>`;
    default:
      return block satisfies never;
  }
}

function factsHtml(facts: readonly { name: string; value: string; share: number }[]): string {
  const parts = facts.map(
    ({ name, value, share }) => `<div class="share-${share}"><dt>${escaped(name)}</dt><dd>${escaped(value)}</dd></div>`,
  );
  return `<dl class="facts">${parts.join("")}</dl>`;
}

function tableHtml({ columns, rows }: Table): string {
  const sum = columns.reduce((all, { share }) => all + share, 0);
  const widths = columns.map(({ share }) => `<col width="${((100 * share) / sum).toFixed(2)}%">`);
  const heads = columns.map(({ name, holds }) => `<th scope="col" class="${holds}">${escaped(name)}</th>`);
  const table = `<table><colgroup>${widths.join("")}</colgroup>
<thead><tr>${heads.join("")}</tr></thead>
<tbody>
${rows.map((cells) => `<tr>${cells.map((cell, i) => cellHtml(cell, columns[i], i)).join("")}</tr>`).join("\n")}
</tbody></table>`;
  return wide("Table", table);
}

/** On a narrow screen it scrolls by itself, by keys too. */
function wide(name: string, content: string): string {
  return `<div class="wide" tabindex="0" role="group" aria-label="${name}">${content}</div>`;
}

function cellHtml(cell: string, column: Column | undefined, i: number): string {
  const name = column?.holds ?? "words";
  return i === 0
    ? `<th scope="row" class="${name}">${escaped(cell)}</th>`
    : `<td class="${name}">${escaped(cell)}</td>`;
}
