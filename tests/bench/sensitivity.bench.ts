import { mkdirSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import { levelFor, type Theory, theoryOf } from "../../decoders/radio/noncoherent.ts";
import { measuredLayout } from "../support/measured-layouts.ts";
import { heard, type Trial } from "../support/sensitivity.ts";
import { type Curve, crossing, curvesSvg, type Panel } from "./curves.ts";

/** Where levels lie, in dB from where theory reaches 90 %. */
const AROUND_DB = [-4, -3, -2, -1.5, -1, -0.5, 0, 0.5, 1, 2];
/** Where repeats are added up, so much lower. */
const REPEATED_DB = [-9, -8, -7.5, -7, -6.5, -6, -5.5, -5, -4.5, -4, -3, -2, 0];

const folder = fileURLToPath(new URL("../../.cache/sensitivity/", import.meta.url));

/**
 * How many telegrams come through at which Eb/N0, everything included: found in noise as bytes, carrier and clock off by
 * chance. First telegrams of 80 bits, Manchester, with a CRC-16, up to ±20 kHz and ±500 ppm off, their layout on alone;
 * then every built-in layout, up to ±8 kHz and ±300 ppm off, all of them on. Beside each stands its theory for one
 * telegram. The curves go to .cache/sensitivity as SVG.
 *
 * @param options.draws Telegrams a level; 40 by default.
 */
export default async function sensitivity({ seed, draws = 40 }: { seed: number; draws: number | undefined }) {
  console.log(`${draws} telegrams a level; dB at which 90 % come through, in brackets against theory for one telegram`);
  mkdirSync(folder, { recursive: true });
  const telegrams: Panel[] = [];
  for (const modulation of ["fsk", "ask"] as const) {
    const own = (copies = 1) => {
      const layout = measuredLayout(modulation, copies);
      return { layout, trial: { layouts: [layout], offsetHz: 20_000, clockPpm: 500, copies, seed, telegrams: draws } };
    };
    const name = `80 bits, ${modulation}`;
    const one = await measured(`${name}`, own(), AROUND_DB);
    const drifting = own();
    const drift = await measured(
      `${name}, 10 kHz of drift`,
      { ...drifting, trial: { ...drifting.trial, driftHz: 10_000 } },
      AROUND_DB,
    );
    const four = await measured(`${name}, 4 copies`, own(4), REPEATED_DB);
    const eight = await measured(`${name}, 8 copies`, own(8), REPEATED_DB);
    telegrams.push({
      title: name,
      theory: one.theory,
      curves: [
        { name: "one telegram, without repair", points: one.unrepaired },
        { name: "the same with 10 kHz of drift", points: drift.unrepaired },
        { name: "one telegram", points: one.right },
        { name: "4 copies", points: four.right },
        { name: "8 copies", points: eight.right },
      ],
    });
  }
  writeFileSync(
    `${folder}telegrams.svg`,
    curvesSvg("Telegrams of 80 bits that come through, against Eb/N0", telegrams),
  );
  const panels: Panel[] = [];
  for (const layout of builtinLayouts) {
    const one = await measured(layout.id, { layout, trial: { seed, telegrams: draws } }, AROUND_DB);
    panels.push({
      title: layout.id,
      theory: one.theory,
      curves: [
        { name: "read right, without repair", points: one.unrepaired },
        { name: "read right", points: one.right },
        { name: "verified", points: one.verified },
      ],
    });
  }
  writeFileSync(
    `${folder}layouts.svg`,
    curvesSvg("Telegrams of the built-in layouts that come through, against Eb/N0", panels),
  );
  console.log(`curves: ${folder}telegrams.svg, layouts.svg`);
}

interface Measured {
  readonly theory: Theory;
  readonly unrepaired: Curve["points"];
  readonly right: Curve["points"];
  readonly verified: Curve["points"];
}

async function measured(
  name: string,
  { layout, trial }: { layout: Layout; trial: Omit<Trial, "ebN0Db"> },
  aroundDb: readonly number[],
): Promise<Measured> {
  const theory = theoryOf(layout);
  const level = levelFor(theory.success, 0.9);
  const of = trial.telegrams;
  const unrepaired: Curve["points"][number][] = [];
  const right: Curve["points"][number][] = [];
  const verified: Curve["points"][number][] = [];
  let wrong = 0;
  for (const around of aroundDb) {
    const db = level + around;
    const one = await heard(layout, { ...trial, ebN0Db: db });
    unrepaired.push({ db, right: one.unrepaired, of });
    right.push({ db, right: one.right, of });
    verified.push({ db, right: one.verified, of });
    wrong += one.wrong;
  }
  const figures = [
    `theory ${level.toFixed(2)}`,
    `without repair ${off(unrepaired, level)}`,
    `right ${off(right, level)}`,
    `verified ${off(verified, level)}`,
    `verified though wrong ${wrong} of ${of * aroundDb.length}`,
  ];
  console.log(`${name.padEnd(28)} ${figures.join(", ")}`);
  return { theory, unrepaired, right, verified };
}

function off(points: Curve["points"], from: number): string {
  const at = crossing({ points }, 0.9);
  if (at === undefined) return "not within these levels";
  return `${at.toFixed(2)} (${at < from ? "" : "+"}${(at - from).toFixed(2)})`;
}
