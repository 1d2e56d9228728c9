import type { Lettering, Picture, Shape } from "./shapes.ts";

/** The files of web/fonts, by what they are for. */
export type Face = "text-400" | "text-700" | "fixed-400" | "fixed-700" | "signs-400" | "signs-700";

/** Letters that neither face has; a third one holds them. */
export const SIGNS: ReadonlySet<string> = new Set("←↑→↓↕↔▲▼■□●○✓✗Σσ⁴");

export interface Run {
  readonly face: Face;
  readonly text: string;
}

/** A text cut where the face changes. */
export function runsOf(text: string, { fixed, bold }: Pick<Lettering, "fixed" | "bold">): Run[] {
  const weight = bold ? 700 : 400;
  const runs: { face: Face; text: string }[] = [];
  for (const letter of text) {
    const face: Face = `${SIGNS.has(letter) ? "signs" : fixed ? "fixed" : "text"}-${weight}`;
    const last = runs.at(-1);
    if (last?.face === face) last.text += letter;
    else runs.push({ face, text: letter });
  }
  return runs;
}

/** The faces that a picture needs. */
export function facesOf({ shapes }: Pick<Picture, "shapes">): Face[] {
  const faces = new Set<Face>();
  const visit = (shape: Shape) => {
    if (shape.kind === "group") shape.shapes.forEach(visit);
    else if (shape.kind !== "path") for (const { face } of runsOf(shape.text, shape)) faces.add(face);
  };
  shapes.forEach(visit);
  return [...faces].toSorted();
}
