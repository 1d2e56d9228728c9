/** The colours of a picture, `#rrggbb`. */
export interface Inks {
  readonly ground: string;
  readonly ink: string;
  readonly quiet: string;
  readonly rule: string;
  /** What points at something: brush, chosen frame, cursor. */
  readonly act: string;
  readonly look: string;
  readonly onLook: string;
}

export type PictureLook = "paper" | "night" | "black";

/** The first two as the pages have them in style/ground.css; the last is for a printer that knows black only. */
export const INKS: Readonly<Record<PictureLook, Inks>> = {
  paper: {
    ground: "#f5f2ea",
    ink: "#20242a",
    quiet: "#565c63",
    rule: "#8b8779",
    act: "#0b5c73",
    look: "#efc66b",
    onLook: "#20242a",
  },
  night: {
    ground: "#191c20",
    ink: "#ece8dc",
    quiet: "#b4b0a5",
    rule: "#7d7a72",
    act: "#6fc3da",
    look: "#f0c35a",
    onLook: "#20242a",
  },
  black: {
    ground: "#ffffff",
    ink: "#000000",
    quiet: "#000000",
    rule: "#000000",
    act: "#000000",
    look: "#ffffff",
    onLook: "#000000",
  },
};

/** Between two colours, channel by channel, as CSS mixes them in sRGB. @param share Of the first one, 0 to 1. */
export function mixed(first: string, second: string, share: number): string {
  const channels = [1, 3, 5].map((at) => {
    const [a, b] = [first, second].map((colour) => Number.parseInt(colour.slice(at, at + 2), 16));
    return Math.round((a ?? 0) * share + (b ?? 0) * (1 - share))
      .toString(16)
      .padStart(2, "0");
  });
  return `#${channels.join("")}`;
}
