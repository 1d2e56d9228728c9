import { type Color, converter, differenceCiede2000 } from "culori";

/** How a colour is seen: as it is, by three who lack a kind of cone, and without any colour. */
export const SIGHTS = ["as it is", "protan", "deutan", "tritan", "grey"] as const;
export type Sight = (typeof SIGHTS)[number];

/**
 * Severity 1.0, for linear RGB.
 *
 * @source G. M. Machado, M. M. Oliveira, L. A. F. Fernandes: A Physiologically-based Model for Simulation of Color Vision
 * Deficiency. IEEE Transactions on Visualization and Computer Graphics 15 (6), 2009, pp. 1291-1298; the precomputed
 * matrices that the authors publish with it.
 */
const MACHADO: Readonly<Record<"protan" | "deutan" | "tritan", readonly (readonly [number, number, number])[]>> = {
  protan: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deutan: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritan: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
};

const linear = converter("lrgb");

/** A colour as somebody sees it. Greys have the luminance of the colour. @throws RangeError for what is no colour. */
export function seen(colour: string, sight: Sight): Color {
  const light = linear(colour);
  if (!light) throw new RangeError(`${colour} is no colour`);
  const { r, g, b } = light;
  if (sight === "as it is") return light;
  if (sight === "grey") {
    const luminance = 0.2126 * r + 0.7152 * g + 0.0722 * b; // WCAG 2.2, relative luminance
    return { mode: "lrgb", r: luminance, g: luminance, b: luminance };
  }
  const [red, green, blue] = MACHADO[sight].map(([a, c, d]) => Math.min(1, Math.max(0, a * r + c * g + d * b)));
  return { mode: "lrgb", r: red ?? 0, g: green ?? 0, b: blue ?? 0 };
}

/** CIEDE2000 between two colours. */
export const difference = differenceCiede2000();
