import { pdfFile, pdfText } from "../../pdf/pdfFile.ts";
import { type Face, facesOf, runsOf } from "./faces.ts";
import { type Packer, type PdfFont, pdfFont } from "./pdfFont.ts";
import { pdfPath } from "./pdfPath.ts";
import { type LettersShape, type Picture, px, type Shape, type TextShape } from "./shapes.ts";

/** The bytes of each face as TrueType. */
export type FacesBytes = Readonly<Partial<Record<Face, Uint8Array>>>;

export interface PicturePdf {
  readonly bytes: Uint8Array<ArrayBuffer>;
  /** Letters that no face has; each was drawn as a box. */
  readonly missing: readonly string[];
}

const BOX = "□";
/** A CSS pixel is the 96th part of an inch, a point of a PDF the 72nd. */
const POINTS_PER_PX = 72 / 96;

/**
 * A picture as a PDF of one page as large as the picture: lines stay lines and text stays text.
 *
 * @param faces Those of `facesOf`, and `signs-400` for the box that stands for a letter that nobody has.
 * @throws RangeError where one of them is missing.
 * @source ISO 32000-1, 7.7 (document structure), 8.4 (graphics state), 8.5 (paths), 9.4 (text), 14.3.3 (information).
 */
export async function picturePdf(picture: Picture, faces: FacesBytes, packed: Packer): Promise<PicturePdf> {
  const file = pdfFile();
  const [catalog, pages, page, content, info] = Array.from({ length: 5 }, file.take);
  const pen = penOf(picture, faces);
  const drawn = picture.shapes.map(pen.draw).join("\n");
  const { widthPx, heightPx, ground } = picture;
  const [width, height] = [widthPx * POINTS_PER_PX, heightPx * POINTS_PER_PX];
  const body = [
    `${POINTS_PER_PX} 0 0 ${-POINTS_PER_PX} 0 ${px(height)} cm`, // y grows downwards from here on
    `${ink(ground)} rg 0 0 ${widthPx} ${heightPx} re f`,
    drawn,
  ];
  const fonts = await Promise.all(
    [...pen.fonts].map(async ([face, font]) => `/${nameOf(face)} ${await font.close(file, packed)} 0 R`),
  );
  const states = [...pen.opacities].map(([opacity, name]) => `/${name} << /ca ${opacity} >>`);
  const resources = `<< /Font << ${fonts.join(" ")} >> /ExtGState << ${states.join(" ")} >> >>`;
  file.write(
    catalog!,
    `<< /Type /Catalog /Pages ${pages} 0 R /Lang (en) /ViewerPreferences << /DisplayDocTitle true >> >>`,
  );
  file.write(pages!, `<< /Type /Pages /Kids [${page} 0 R] /Count 1 >>`);
  file.write(
    page!,
    `<< /Type /Page /Parent ${pages} 0 R /MediaBox [0 0 ${px(width)} ${px(height)}] /Resources ${resources} /Contents ${content} 0 R >>`,
  );
  const operators = await packed(new TextEncoder().encode(body.join("\n")));
  file.writeStream(content!, "/Filter /FlateDecode", operators);
  const { title, description, hash, link, madeBy } = picture;
  file.write(
    info!,
    `<< /Title ${pdfText(title)} /Subject ${pdfText(description)} /Keywords ${pdfText(`sha512:${hash} ${link}`)} /Creator ${pdfText(madeBy)} /Producer ${pdfText(madeBy)} >>`,
  );
  return { bytes: file.bytes(`/Root ${catalog} 0 R /Info ${info} 0 R`), missing: [...pen.missing] };
}

function penOf(picture: Picture, faces: FacesBytes) {
  const fonts = new Map<Face, PdfFont>();
  const opacities = new Map<number, string>();
  const missing = new Set<string>();
  const fontOf = (face: Face) => {
    const known = fonts.get(face);
    if (known) return known;
    const bytes = faces[face];
    if (!bytes) throw new RangeError(`the face ${face} is not at hand`);
    const font = pdfFont(face, bytes);
    fonts.set(face, font);
    return font;
  };
  for (const face of facesOf(picture)) fontOf(face);

  /** Text with a box in place of what the faces lack. */
  const written = (text: string, lettering: TextShape | LettersShape) =>
    [...text]
      .map((letter) => {
        const [run] = runsOf(letter, lettering);
        if (!run || fontOf(run.face).has(letter)) return letter;
        missing.add(letter);
        return BOX;
      })
      .join("");

  const text = (shape: TextShape | LettersShape, words: string, x: number, anchor: TextShape["anchor"]) => {
    const runs = runsOf(written(words, shape), shape);
    const width = runs.reduce((sum, run) => sum + fontOf(run.face).widthOf(run.text), 0) * shape.sizePx;
    const left = anchor === "end" ? x - width : anchor === "middle" ? x - width / 2 : x;
    const shown = runs.map(
      (run) => `/${nameOf(run.face)} ${px(shape.sizePx)} Tf <${fontOf(run.face).codesOf(run.text)}> Tj`,
    );
    return `BT 1 0 0 -1 ${px(left)} ${px(shape.y)} Tm ${shown.join(" ")} ET`;
  };

  const draw = (shape: Shape): string => {
    switch (shape.kind) {
      case "group":
        return ["q", `1 0 0 1 ${px(shape.x)} ${px(shape.y)} cm`, ...shape.shapes.map(draw), "Q"].join("\n");
      case "text":
        return `${ink(shape.fill)} rg ${text(shape, shape.text, shape.x, shape.anchor)}`;
      case "letters": {
        const letters = [...shape.text].map((letter, i) => text(shape, letter, shape.xs[i] ?? 0, "middle"));
        return [`${ink(shape.fill)} rg`, ...letters].join("\n");
      }
      case "path": {
        const { d, fill, stroke, strokePx = 1, dashPx = [], opacity } = shape;
        const name = opacity === undefined ? undefined : (opacities.get(opacity) ?? `G${opacities.size}`);
        if (opacity !== undefined && name !== undefined) opacities.set(opacity, name);
        const paint = fill === undefined ? (stroke === undefined ? "n" : "S") : stroke === undefined ? "f" : "B";
        return [
          "q",
          ...(name === undefined ? [] : [`/${name} gs`]),
          ...(fill === undefined ? [] : [`${ink(fill)} rg`]),
          ...(stroke === undefined ? [] : [`${ink(stroke)} RG ${px(strokePx)} w [${dashPx.join(" ")}] 0 d`]),
          pdfPath(d),
          paint,
          "Q",
        ].join("\n");
      }
    }
  };
  return { draw, fonts, opacities, missing };
}

function nameOf(face: Face): string {
  return `F-${face}`;
}

/** Red, green and blue from 0 to 1. */
function ink(colour: string): string {
  return [1, 3, 5].map((at) => (Number.parseInt(colour.slice(at, at + 2), 16) / 255).toFixed(4)).join(" ");
}
