/** A figure in black, its origin at the top left, all lengths in px. */
export interface Drawing {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly shapes: readonly Shape[];
}

export type Shape = PathShape | TextShape;

/** Either filled, or a line of `linePx`. */
export interface PathShape {
  readonly kind: "path";
  /** M, L and Z, with absolute coordinates. */
  readonly d: string;
  readonly filled: boolean;
  readonly linePx: number;
  readonly dashed: boolean;
}

export interface TextShape {
  readonly kind: "text";
  readonly text: string;
  /** Of the base line. */
  readonly x: number;
  readonly y: number;
  readonly anchor: "start" | "middle" | "end";
  readonly bold: boolean;
}

/** Size of all letters in a figure. */
export const LETTERS_PX = 12;

/** A line through points, each `[x, y]`. */
export function line(points: readonly (readonly [number, number])[], linePx: number, dashed = false): PathShape {
  return {
    kind: "path",
    d: `M${points.map(([x, y]) => `${two(x)} ${two(y)}`).join("L")}`,
    filled: false,
    linePx,
    dashed,
  };
}

/** An area between points. */
export function area(points: readonly (readonly [number, number])[]): PathShape {
  return { ...line(points, 0), d: `${line(points, 0).d}Z`, filled: true };
}

export function text(
  at: readonly [number, number],
  words: string,
  anchor: TextShape["anchor"],
  bold = false,
): TextShape {
  return { kind: "text", text: words, x: two(at[0]), y: two(at[1]), anchor, bold };
}

/** Lines at 45° inside of an upright rectangle, which survive one-bit printing where a grey would not. */
export function hatching(
  left: number,
  right: number,
  top: number,
  bottom: number,
  stepPx: number,
): readonly PathShape[] {
  const lines: PathShape[] = [];
  if (right <= left || bottom <= top) return lines;
  // Each is x + y = sum.
  for (let sum = Math.ceil((left + top) / stepPx) * stepPx; sum < right + bottom; sum += stepPx) {
    const from = Math.max(left, sum - bottom);
    const to = Math.min(right, sum - top);
    if (to > from)
      lines.push(
        line(
          [
            [from, sum - from],
            [to, sum - to],
          ],
          0.4,
        ),
      );
  }
  return lines;
}

/** Round marks on an axis: 1, 2 or 5 times a power of ten apart, both ends included where they are round. */
export function roundMarks(from: number, to: number, about: number): readonly number[] {
  if (!(to > from)) return [];
  const rough = (to - from) / about;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5].find((one) => one * power >= rough) ?? 10);
  const marks: number[] = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= to + step * 1e-9; i++)
    marks.push(Number((i * step).toPrecision(12)));
  return marks;
}

function two(px: number): number {
  return Math.round(px * 100) / 100;
}
