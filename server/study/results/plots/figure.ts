import { format } from "d3";

/** A drawing with what it shows, as one file that needs no other. */
export interface Figure {
  /** Name of its file, without `.svg`. */
  readonly name: string;
  /** What it shows, as a sentence. */
  readonly title: string;
  /** How to read it. */
  readonly reading: string;
  /** What is in it, for who does not see it. */
  readonly description: string;
  /** Below the title and the reading, which stand above it. */
  readonly heightPx: number;
  /** Elements of SVG; y counts from below the title and the reading. */
  readonly body: readonly string[];
}

/** Where the figures of a study come from; stands below each and in its metadata. */
export interface FigureSource {
  readonly study: string;
  readonly toolVersion: string;
  readonly dataSha256: string;
}

export const WIDTH_PX = 800;
export const MARGIN_PX = 24;
/** Paper and ink of the house. */
export const GROUND = "#f5f2ea";
export const INK = "#20242a";
export const QUIET = "#565c63";
export const RULE = "#8b8779";

const FACE = "'Atkinson Hyperlegible Next', Verdana, sans-serif";
// By how wide the widest of common faces runs at that size: without a DOM nothing can be measured.
const TITLE_CHARACTERS = 76;
const READING_CHARACTERS = 112;

/** A figure as an SVG file: the same bytes for the same figure. */
export function svgText(figure: Figure, source: FigureSource): string {
  const title = wrapped(figure.title, TITLE_CHARACTERS);
  const reading = wrapped(figure.reading, READING_CHARACTERS);
  const bodyAt = 20 + title.length * 26 + reading.length * 20 + 16;
  const foot = wrapped(
    `Study ${source.study} · data ${source.dataSha256.slice(0, 12)} · wheelgram ${source.toolVersion}`,
    110,
  );
  const height = bodyAt + figure.heightPx + 20 + foot.length * 16 + 12;
  const id = `wheelgram-${figure.name}`;
  const metadata = JSON.stringify({ title: figure.title, figure: figure.name, ...source });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" id="${id}" viewBox="0 0 ${WIDTH_PX} ${height}" width="${WIDTH_PX}" height="${height}" role="img" aria-labelledby="${id}-title ${id}-desc" font-family="${FACE}" font-size="14" fill="${INK}" shape-rendering="crispEdges" style="font-variant-numeric: tabular-nums">`,
    `<title id="${id}-title">${escaped(figure.title)}</title>`,
    `<desc id="${id}-desc">${escaped(`${figure.reading} ${figure.description}`)}</desc>`,
    `<metadata>${escaped(metadata)}</metadata>`,
    // On paper there is no ground, and no grey.
    `<style>@media print { #${id} .ground { fill: #fff } #${id}, #${id} text { fill: #000 } #${id} line { stroke: #000 } }</style>`,
    `<rect class="ground" width="${WIDTH_PX}" height="${height}" fill="${GROUND}"/>`,
    ...title.map((line, i) => text(line, MARGIN_PX, 40 + i * 26, { size: 20, weight: 700 })),
    ...reading.map((line, i) => text(line, MARGIN_PX, 36 + title.length * 26 + i * 20, { fill: QUIET })),
    `<g transform="translate(0 ${bodyAt})">`,
    ...figure.body,
    "</g>",
    lineBetween(MARGIN_PX, height - foot.length * 16 - 20, WIDTH_PX - MARGIN_PX, height - foot.length * 16 - 20, {
      stroke: RULE,
    }),
    ...foot.map((line, i) => text(line, MARGIN_PX, height - foot.length * 16 + i * 16, { fill: QUIET, size: 12 })),
    "</svg>",
    "",
  ].join("\n");
}

export interface TextLook {
  readonly size?: number;
  readonly weight?: number;
  readonly fill?: string;
  readonly anchor?: "start" | "middle" | "end";
}

export function text(words: string, x: number, y: number, look: TextLook = {}): string {
  const { size, weight, fill, anchor } = look;
  const attributes = [
    size === undefined ? "" : ` font-size="${size}"`,
    weight === undefined ? "" : ` font-weight="${weight}"`,
    fill === undefined ? "" : ` fill="${fill}"`,
    anchor === undefined ? "" : ` text-anchor="${anchor}"`,
  ];
  return `<text x="${px(x)}" y="${px(y)}"${attributes.join("")}>${escaped(words)}</text>`;
}

/** A block: solid ink, or hollow with an outline in ink. */
export function block(x: number, y: number, width: number, height: number, look: "solid" | "hollow"): string {
  if (look === "solid") {
    return `<rect x="${px(x)}" y="${px(y)}" width="${px(width)}" height="${px(height)}" fill="${INK}"/>`;
  }
  // The outline lies inside, so that both looks are of one size.
  const inner = Math.min(0.5, width / 2, height / 2);
  return `<rect x="${px(x + inner)}" y="${px(y + inner)}" width="${px(width - 2 * inner)}" height="${px(height - 2 * inner)}" fill="${GROUND}" stroke="${INK}" class="ground"/>`;
}

export function lineBetween(
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  look: { readonly stroke?: string; readonly width?: number; readonly dashes?: string } = {},
): string {
  const { stroke = INK, width = 1, dashes } = look;
  const dotted = dashes === undefined ? "" : ` stroke-dasharray="${dashes}"`;
  return `<line x1="${px(x1)}" y1="${px(y1)}" x2="${px(x2)}" y2="${px(y2)}" stroke="${stroke}" stroke-width="${width}"${dotted}/>`;
}

/** A whole number with its thousands apart. */
export const whole = format(",d");

/** Between a number and its unit: thin, and no line ends there. */
export const THIN = "\u202f";

export function percent(share: number): string {
  if (share > 0 && share < 0.005) return `under 1${THIN}%`;
  if (share < 1 && share > 0.995) return `over 99${THIN}%`;
  return `${Math.round(100 * share)}${THIN}%`;
}

/** `1 burst`, `1,204 bursts`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${whole(count)} ${count === 1 ? one : many}`;
}

/** To a hundredth of a pixel: what is beyond is nothing to see, and may differ between machines. */
function px(value: number): string {
  return String(Number(value.toFixed(2)));
}

function escaped(words: string): string {
  return words
    .replaceAll("&", "&amp;")
    .replaceAll("<", "&lt;")
    .replaceAll(">", "&gt;")
    .replaceAll('"', "&quot;")
    .replace(/./gsu, (letter) => (isInXml(letter.codePointAt(0) ?? 0) ? letter : "\uFFFD"));
}

/** @source Extensible Markup Language 1.0, production 2: what is a character of a document. */
function isInXml(code: number): boolean {
  if (code < 0x20) return code === 0x9 || code === 0xa || code === 0xd;
  return code < 0xd800 || (code > 0xdfff && code !== 0xfffe && code !== 0xffff);
}

function wrapped(words: string, most: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of words.split(/[ \t\r\n]+/)) {
    // A word that is longer than a line is cut: a name may be of any length.
    for (let rest = word; rest !== ""; ) {
      const isFirst = line === "";
      if (!isFirst && line.length + 1 + rest.length > most) {
        lines.push(line);
        line = "";
        continue;
      }
      line = isFirst ? rest.slice(0, most) : `${line} ${rest}`;
      rest = isFirst ? rest.slice(most) : "";
      if (rest !== "") {
        lines.push(line);
        line = "";
      }
    }
  }
  if (line !== "") lines.push(line);
  return lines;
}
