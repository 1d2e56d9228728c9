import { readFile } from "node:fs/promises";

export interface Face {
  readonly bytes: Buffer;
  /** Code points that it has. */
  readonly characters: ReadonlySet<number>;
}

/**
 * The letters of the house as TrueType, from `web/fonts`: `text-400`, `text-700`, `fixed-400` and `fixed-700` of one width,
 * and `signs-400`, `signs-700`, which have what the others lack.
 *
 * @throws Error if a file is missing or no font.
 */
export async function readLetters(): Promise<Readonly<Record<string, Face>>> {
  const { create } = await import("fontkit");
  const faces = FILES.map(async (name): Promise<readonly [string, Face]> => {
    const bytes = await readFile(new URL(`${name}.ttf`, folder()));
    const font = create(bytes);
    if (!("characterSet" in font)) throw new Error(`${name}.ttf holds more than one font`);
    return [name, { bytes, characters: new Set(font.characterSet) }];
  });
  return Object.fromEntries(await Promise.all(faces));
}

const FILES = ["text-400", "text-700", "fixed-400", "fixed-700", "signs-400", "signs-700"];

/** As it lies beside the sources, and beside the bundle in `dist`. */
function folder(): URL {
  const top = import.meta.url.endsWith(".ts") ? "../../../" : "../";
  return new URL(`${top}web/fonts/`, import.meta.url);
}
