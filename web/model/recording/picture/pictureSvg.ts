import { type Face, facesOf, runsOf } from "./faces.ts";
import type { Picture, Shape } from "./shapes.ts";
import { px } from "./shapes.ts";

/** The bytes of each face as WOFF2, in base 64. */
export type FacesBase64 = Readonly<Partial<Record<Face, string>>>;

const FAMILIES = {
  text: "Atkinson Hyperlegible Next",
  fixed: "Atkinson Hyperlegible Mono",
  signs: "Signs",
} as const;

/**
 * A picture as an SVG document that needs nothing else: letters, colours and what it says of itself are all inside.
 *
 * @param faces Those of `facesOf`; without one of them the reader's own letters stand in.
 * @source SVG 2, 5.8 (title, desc), 5.9 (metadata), 11.2 (text); DCMI Metadata Terms.
 */
export function pictureSvg(picture: Picture, faces: FacesBase64): string {
  const { widthPx, heightPx, title, description, hash, link, madeBy } = picture;
  const size = `width="${widthPx}" height="${heightPx}" viewBox="0 0 ${widthPx} ${heightPx}"`;
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" ${size} role="img" aria-labelledby="title desc" lang="en">
<title id="title">${escaped(title)}</title>
<desc id="desc">${escaped(description)}</desc>
<metadata><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:dc="http://purl.org/dc/elements/1.1/"><rdf:Description rdf:about=""><dc:title>${escaped(title)}</dc:title><dc:creator>${escaped(madeBy)}</dc:creator><dc:identifier>sha512:${escaped(hash)}</dc:identifier><dc:source>${escaped(link)}</dc:source></rdf:Description></rdf:RDF></metadata>
<style>${facesOf(picture)
    .map((face) => faceRule(face, faces[face]))
    .join("")}text{font-kerning:normal;font-variant-numeric:tabular-nums;white-space:pre}</style>
<path d="M0 0h${widthPx}v${heightPx}h${-widthPx}Z" fill="${picture.ground}"/>
${picture.shapes.map(element).join("\n")}
</svg>
`;
}

/** Text for the inside of an element or an attribute. What XML cannot hold at all becomes U+FFFD. */
function escaped(text: string): string {
  return text
    .replace(NOT_XML, "\ufffd")
    .replace(/&/g, "&amp;")
    .replace(/</g, "&lt;")
    .replace(/>/g, "&gt;")
    .replace(/"/g, "&quot;")
    .replace(/'/g, "&#39;");
}

/** @source Extensible Markup Language (XML) 1.0, 2.2 (production Char). */
const NOT_XML = /[^\t\n\r\u{20}-\u{d7ff}\u{e000}-\u{fffd}\u{10000}-\u{10ffff}]/gu;

function faceRule(face: Face, base64: string | undefined): string {
  if (base64 === undefined) return "";
  const [kind = "text", weight = "400"] = face.split("-");
  const family = FAMILIES[kind === "fixed" ? "fixed" : kind === "signs" ? "signs" : "text"];
  return `@font-face{font-family:"${family}";font-weight:${weight};src:url(data:font/woff2;base64,${base64}) format("woff2")}`;
}

function element(shape: Shape): string {
  switch (shape.kind) {
    case "group": {
      const name = shape.name === undefined ? "" : ` id="${escaped(shape.name)}"`;
      const place = shape.x === 0 && shape.y === 0 ? "" : ` transform="translate(${px(shape.x)} ${px(shape.y)})"`;
      return `<g${name}${place}>${shape.shapes.map(element).join("")}</g>`;
    }
    case "path": {
      const { d, fill, stroke, strokePx = 1, dashPx, opacity } = shape;
      const filled =
        opacity === undefined ? `fill="${fill ?? "none"}"` : `fill="${fill ?? "none"}" fill-opacity="${opacity}"`;
      const dashed = dashPx === undefined ? "" : ` stroke-dasharray="${dashPx.map(px).join(" ")}"`;
      const stroked = stroke === undefined ? "" : ` stroke="${stroke}" stroke-width="${px(strokePx)}"${dashed}`;
      return `<path d="${d}" ${filled}${stroked}/>`;
    }
    case "text": {
      const anchor = shape.anchor === undefined || shape.anchor === "start" ? "" : ` text-anchor="${shape.anchor}"`;
      return `<text x="${px(shape.x)}" y="${px(shape.y)}"${anchor} ${lettering(shape)}>${runs(shape.text, shape)}</text>`;
    }
    case "letters": {
      const xs = shape.xs.map(px).join(" ");
      return `<text x="${xs}" y="${px(shape.y)}" text-anchor="middle" ${lettering(shape)}>${escaped(shape.text)}</text>`;
    }
  }
}

function lettering({ fixed, bold, sizePx, fill }: Exclude<Shape, { kind: "path" | "group" }>): string {
  const family = `${FAMILIES[fixed ? "fixed" : "text"]}, ${FAMILIES.signs}, ${fixed ? "monospace" : "sans-serif"}`;
  return `font-family="${family}" font-size="${px(sizePx)}"${bold ? ' font-weight="700"' : ""} fill="${fill}"`;
}

/** Letters of another face stand in an element of their own, for readers that do not look for them by themselves. */
function runs(
  text: string,
  lettered: { readonly fixed?: boolean | undefined; readonly bold?: boolean | undefined },
): string {
  return runsOf(text, lettered)
    .map(({ face, text: part }) =>
      face.startsWith("signs")
        ? `<tspan font-family="${FAMILIES.signs}, sans-serif">${escaped(part)}</tspan>`
        : escaped(part),
    )
    .join("");
}
