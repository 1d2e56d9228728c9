/** What a picture is made of. Lengths are CSS pixels, y grows downwards. */
export type Shape = PathShape | TextShape | LettersShape | GroupShape;

export interface PathShape {
  readonly kind: "path";
  /** Of SVG's path commands only `M`, `L`, `H`, `V`, `Z` and their small forms. */
  readonly d: string;
  /** `#rrggbb`; nothing is filled without it. */
  readonly fill?: string | undefined;
  /** `#rrggbb`; nothing is stroked without it. */
  readonly stroke?: string | undefined;
  readonly strokePx?: number | undefined;
  /** Lengths of dashes and gaps in turn. */
  readonly dashPx?: readonly number[] | undefined;
  /** Of the filling, 0 to 1. */
  readonly opacity?: number | undefined;
}

export interface Lettering {
  readonly fixed?: boolean | undefined;
  readonly bold?: boolean | undefined;
  readonly sizePx: number;
  readonly fill: string;
}

export interface TextShape extends Lettering {
  readonly kind: "text";
  readonly text: string;
  readonly x: number;
  /** Of the base line. */
  readonly y: number;
  readonly anchor?: "start" | "middle" | "end" | undefined;
}

/** Letters that each stand at a place of their own. */
export interface LettersShape extends Lettering {
  readonly kind: "letters";
  readonly text: string;
  /** The middle of each letter. */
  readonly xs: readonly number[];
  readonly y: number;
}

export interface GroupShape {
  readonly kind: "group";
  /** What somebody who takes the picture apart finds it by. */
  readonly name?: string | undefined;
  readonly x: number;
  readonly y: number;
  readonly shapes: readonly Shape[];
}

/** A picture with what it says of itself. */
export interface Picture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly ground: string;
  readonly shapes: readonly Shape[];
  readonly title: string;
  /** The same in sentences, with units. */
  readonly description: string;
  /** The content hash of the recording, all of it. */
  readonly hash: string;
  readonly link: string;
  readonly madeBy: string;
}

export function group(x: number, y: number, shapes: readonly Shape[], name?: string): GroupShape {
  return { kind: "group", x, y, shapes, name };
}

/** A number of pixels as it is written, to a hundredth. */
export function px(value: number): string {
  return String(Number(value.toFixed(2)) + 0);
}
