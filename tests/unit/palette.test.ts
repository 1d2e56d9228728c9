import { readFileSync } from "node:fs";
import { wcagContrast } from "culori";
import { describe, expect, it } from "vitest";
import { difference, SIGHTS, type Sight, seen } from "../support/colour-vision.ts";

const THEMES = ["paper", "night", "sunlight"] as const;
type Theme = (typeof THEMES)[number];

const css = readFileSync(new URL("../../web/style/ground.css", import.meta.url), "utf8");
const paper = coloursIn(":root");
const palette: Readonly<Record<Theme, ReadonlyMap<string, string>>> = {
  paper,
  night: new Map([...paper, ...coloursIn(':root[data-theme="night"]')]),
  sunlight: new Map([...paper, ...coloursIn(':root[data-theme="sunlight"]')]),
};
const SERIES = ["--ink-0", "--ink-1", "--ink-2", "--ink-3", "--ink-4"];

/** The custom properties of a rule that are colours. */
function coloursIn(selector: string): Map<string, string> {
  const at = css.indexOf(`\n${selector} {`);
  if (at < 0) throw new Error(`the style sheet has no ${selector}`);
  const rule = css.slice(at, css.indexOf("}", at));
  return new Map(
    [...rule.matchAll(/(--[\w-]+): (#[0-9a-f]{3,6});/g)].map(([, name = "", colour = ""]) => [name, colour]),
  );
}

function colour(theme: Theme, name: string): string {
  const found = palette[theme].get(name);
  if (found === undefined) throw new Error(`${theme} has no ${name}`);
  return found;
}

function contrast(theme: Theme, over: string, under: string): number {
  return wcagContrast(colour(theme, over), colour(theme, under));
}

/** The least difference of any two, as somebody sees them. */
function least(colours: readonly string[], sight: Sight): number {
  let found = Number.POSITIVE_INFINITY;
  for (const [i, one] of colours.entries()) {
    for (const other of colours.slice(i + 1)) found = Math.min(found, difference(seen(one, sight), seen(other, sight)));
  }
  return found;
}

describe("the measure itself", () => {
  // G. Sharma, W. Wu, E. N. Dalal: The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test
  // Data, and Mathematical Observations. Color Research and Application 30 (1), 2005, table 1.
  it.each([
    [[50, 2.6772, -79.7751], [50, 0, -82.7485], 2.0425],
    [[50, 3.1571, -77.2803], [50, 0, -82.7485], 2.8615],
    [[50, -1.3802, -84.2814], [50, 0, -82.7485], 1.0],
    [[50, 0, 0], [50, -1, 2], 2.3669],
    [[50, 2.49, -0.001], [50, -2.49, 0.0009], 7.1792],
    [[50, 2.49, -0.001], [50, -2.49, 0.0011], 7.2195],
    [[50, -0.001, 2.49], [50, 0.0009, -2.49], 4.8045],
    [[50, -0.001, 2.49], [50, 0.0011, -2.49], 4.7461],
    [[50, 2.5, 0], [50, 0, -2.5], 4.3065],
    [[50, 2.5, 0], [73, 25, -18], 27.1492],
    [[50, 2.5, 0], [61, -5, 29], 22.8977],
    [[50, 2.5, 0], [56, -27, -3], 31.903],
    [[50, 2.5, 0], [58, 24, 15], 19.4535],
    [[60.2574, -34.0099, 36.2677], [60.4626, -34.1751, 39.4387], 1.2644],
    [[22.7233, 20.0904, -46.694], [23.0331, 14.973, -42.5619], 2.0373],
    [[2.0776, 0.0795, -1.135], [0.9033, -0.0636, -0.5514], 0.9082],
  ] as const)("gives the published difference of %j and %j", ([l1, a1, b1], [l2, a2, b2], published) => {
    const lab = (l: number, a: number, b: number) => ({ mode: "lab65", l, a, b }) as const;
    expect(difference(lab(l1, a1, b1), lab(l2, a2, b2))).toBeCloseTo(published, 4);
  });

  it.each(["protan", "deutan", "tritan"] as const)(
    "%s leaves greys as they are, as the authors' model does",
    (sight) => {
      for (const grey of ["#000000", "#7f7f7f", "#ffffff"]) {
        expect(difference(seen(grey, sight), seen(grey, "as it is"))).toBeLessThan(0.5);
      }
    },
  );

  it("makes of red and green what those who lack a cone for them take for one colour", () => {
    // Equally bright; told apart with ease by everybody else.
    const [red, green] = ["#c0504d", "#6c8030"];
    expect(difference(seen(red, "as it is"), seen(green, "as it is"))).toBeGreaterThan(40);
    expect(difference(seen(red, "deutan"), seen(green, "deutan"))).toBeLessThan(20);
  });

  it("reads every colour of the three looks", () => {
    for (const theme of THEMES) expect([...palette[theme].keys()]).toEqual(expect.arrayContaining(SERIES));
    expect(colour("sunlight", "--ground")).toBe("#fff");
    expect(colour("sunlight", "--look")).toBe(colour("paper", "--look"));
  });
});

describe("text and lines", () => {
  // WCAG 2.2: 1.4.3 (text 4.5), 1.4.11 (lines 3), 1.4.6 (text 7, aimed at in sunlight).
  it.each([
    ["paper", 13.9, 6.0, 3.2, 6.7],
    ["night", 14.0, 7.9, 3.0, 8.5],
    ["sunlight", 21, 7, 7, 7],
  ] as const)(
    "%s: ink, quiet text, rules and what can be pressed stand out from the ground",
    (theme, ink, quiet, rule, act) => {
      const toATenth = (value: number) => value - 0.05; // the figures are told to a tenth
      expect(contrast(theme, "--ink", "--ground")).toBeGreaterThanOrEqual(toATenth(ink));
      expect(contrast(theme, "--quiet", "--ground")).toBeGreaterThanOrEqual(toATenth(quiet));
      expect(contrast(theme, "--rule", "--ground")).toBeGreaterThanOrEqual(Math.max(3, toATenth(rule)));
      expect(contrast(theme, "--act", "--ground")).toBeGreaterThanOrEqual(toATenth(act));
      expect(contrast(theme, "--on-act", "--act")).toBeGreaterThanOrEqual(4.5);
    },
  );

  it.each([
    ["paper", 9.6, 8.8],
    ["night", 9.4, 5.5],
    ["sunlight", 9.6, 8.8],
  ] as const)("%s: words on the grounds of look here and stop can be read", (theme, look, stop) => {
    expect(contrast(theme, "--on-look", "--look")).toBeGreaterThanOrEqual(look - 0.05);
    expect(contrast(theme, "--on-stop", "--stop")).toBeGreaterThanOrEqual(stop - 0.05);
  });

  it.each(["protan", "deutan", "tritan", "grey"] as const)("and so they can as %s sees them", (sight) => {
    for (const theme of THEMES) {
      const pairs = [
        ["--ink", "--ground", 4.5],
        ["--quiet", "--ground", 4.5],
        ["--act", "--ground", 4.5],
        ["--rule", "--ground", 3],
        ["--on-look", "--look", 4.5],
        ["--on-stop", "--stop", 4.5],
      ] as const;
      for (const [over, under, needed] of pairs) {
        const [a, b] = [seen(colour(theme, over), sight), seen(colour(theme, under), sight)];
        // A tenth is what clipping takes where the model leaves the colours of a screen.
        expect(wcagContrast(a, b), `${theme} ${over} on ${under}`).toBeGreaterThanOrEqual(needed - 0.1);
      }
    }
  });
});

describe("look here and stop", () => {
  it.each([
    ["paper", 42],
    ["night", 28],
    ["sunlight", 42],
  ] as const)("%s: are at least %s apart for everybody", (theme, needed) => {
    const found = SIGHTS.map(
      (sight) => [sight, least([colour(theme, "--look"), colour(theme, "--stop")], sight)] as const,
    );
    console.log(`look here against stop, ${theme}: ${told(found)}`);
    for (const [sight, apart] of found) expect(apart, sight).toBeGreaterThanOrEqual(needed);
  });

  it("no colour but theirs says that something is amiss: none of the others comes near them", () => {
    for (const theme of THEMES) {
      for (const name of ["--ground", "--ink", "--quiet", "--rule", "--act"]) {
        for (const state of ["--look", "--stop"]) {
          expect(
            least([colour(theme, name), colour(theme, state)], "as it is"),
            `${theme} ${name} ${state}`,
          ).toBeGreaterThan(15);
        }
      }
    }
  });
});

describe("lines that share a strip", () => {
  it.each([
    ["paper", ["#20242a", "#223b64", "#ce6c3b", "#9058b5", "#455d20"]],
    ["night", ["#ece8dc", "#3f82bf", "#8c5d3c", "#c4a2e5", "#85a106"]],
  ] as const)("%s: five colours that everybody tells apart, in grey too", (theme, five) => {
    const colours = SERIES.map((name) => colour(theme, name));
    expect(colours).toEqual(five);
    const found = SIGHTS.map((sight) => [sight, least(colours, sight)] as const);
    console.log(`two series at least, ${theme}: ${told(found)}`);
    for (const [sight, apart] of found) expect(apart, sight).toBeGreaterThanOrEqual(sight === "grey" ? 7 : 12);
    for (const name of SERIES) expect(contrast(theme, name, "--ground"), name).toBeGreaterThanOrEqual(3);
  });

  it("sunlight: the same five stand out from white", () => {
    for (const name of SERIES) expect(contrast("sunlight", name, "--ground"), name).toBeGreaterThanOrEqual(3);
  });
});

function told(found: readonly (readonly [Sight, number])[]): string {
  return found.map(([sight, apart]) => `${sight} ${apart.toFixed(1)}`).join(", ");
}
