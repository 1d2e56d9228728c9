import { assetBytes } from "../../api.ts";
import fixed400Ttf from "../../fonts/fixed-400.ttf?url";
import fixed400 from "../../fonts/fixed-400.woff2?url";
import fixed700Ttf from "../../fonts/fixed-700.ttf?url";
import fixed700 from "../../fonts/fixed-700.woff2?url";
import signs400Ttf from "../../fonts/signs-400.ttf?url";
import signs400 from "../../fonts/signs-400.woff2?url";
import signs700Ttf from "../../fonts/signs-700.ttf?url";
import signs700 from "../../fonts/signs-700.woff2?url";
import text400Ttf from "../../fonts/text-400.ttf?url";
import text400 from "../../fonts/text-400.woff2?url";
import text700Ttf from "../../fonts/text-700.ttf?url";
import text700 from "../../fonts/text-700.woff2?url";
import { drawPicture } from "../../model/recording/picture/drawPicture.ts";
import { type Face, facesOf } from "../../model/recording/picture/faces.ts";
import type { PictureLook } from "../../model/recording/picture/inks.ts";
import type { PictureSource, PictureView } from "../../model/recording/picture/PictureView.ts";
import { picturePdf } from "../../model/recording/picture/picturePdf.ts";
import { pictureSvg } from "../../model/recording/picture/pictureSvg.ts";
import type { Picture } from "../../model/recording/picture/shapes.ts";

export type PictureKind = "svg" | "pdf" | "png";

export interface TakenPicture {
  readonly file: Blob;
  /** Letters that the file could not be written with. */
  readonly missing: readonly string[];
}

/**
 * The view as a file. Loaded only when somebody wants one, with its letters.
 *
 * @param scale How many pixels of a PNG stand for one of the picture, 1 to 4; the others have no pixels.
 * @throws Error where the browser has no room for a picture as large, or letters do not come.
 */
export async function takePicture(
  view: PictureView,
  source: PictureSource,
  look: PictureLook,
  kind: PictureKind,
  scale = 1,
): Promise<TakenPicture> {
  const picture = drawPicture(view, source, look);
  switch (kind) {
    case "svg":
      return { file: await svgOf(picture), missing: [] };
    case "png":
      return { file: await pngOf(picture, scale), missing: [] };
    case "pdf": {
      const { bytes, missing } = await picturePdf(picture, await facesAt(TRUE_TYPE, ALL_FACES), deflated);
      return { file: new Blob([bytes], { type: "application/pdf" }), missing };
    }
  }
}

type Addresses = Readonly<Record<Face, string>>;

const WOFF2: Addresses = {
  "text-400": text400,
  "text-700": text700,
  "fixed-400": fixed400,
  "fixed-700": fixed700,
  "signs-400": signs400,
  "signs-700": signs700,
};
const TRUE_TYPE: Addresses = {
  "text-400": text400Ttf,
  "text-700": text700Ttf,
  "fixed-400": fixed400Ttf,
  "fixed-700": fixed700Ttf,
  "signs-400": signs400Ttf,
  "signs-700": signs700Ttf,
};
/** A letter that nobody has needs the box of the signs, whatever else is there. */
const ALL_FACES: readonly Face[] = ["text-400", "text-700", "fixed-400", "fixed-700", "signs-400", "signs-700"];

async function facesAt(addresses: Addresses, faces: readonly Face[]): Promise<Partial<Record<Face, Uint8Array>>> {
  const found: Partial<Record<Face, Uint8Array>> = {};
  await Promise.all(
    faces.map(async (face) => {
      found[face] = await assetBytes(addresses[face]);
    }),
  );
  return found;
}

async function svgOf(picture: Picture): Promise<Blob> {
  const faces: Partial<Record<Face, string>> = {};
  const found = await facesAt(WOFF2, facesOf(picture));
  for (const face of facesOf(picture)) faces[face] = base64(found[face] ?? new Uint8Array());
  return new Blob([pictureSvg(picture, faces)], { type: "image/svg+xml" });
}

async function pngOf(picture: Picture, scale: number): Promise<Blob> {
  const address = URL.createObjectURL(await svgOf(picture));
  try {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = picture.widthPx * scale;
    canvas.height = picture.heightPx * scale;
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    const file = await new Promise<Blob | null>((resume) => canvas.toBlob(resume, "image/png"));
    if (!file) throw new Error(`the browser has no room for ${canvas.width} by ${canvas.height} pixels`);
    return file;
  } finally {
    URL.revokeObjectURL(address);
  }
}

async function deflated(bytes: Uint8Array): Promise<Uint8Array> {
  const packed = new Blob([new Uint8Array(bytes)]).stream().pipeThrough(new CompressionStream("deflate"));
  return new Uint8Array(await new Response(packed).arrayBuffer());
}

function base64(bytes: Uint8Array): string {
  let text = "";
  // Too many arguments at once would overflow the stack.
  for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  return btoa(text);
}
