import { mkdirSync, writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { heard } from "../support/sensitivity.ts";
import { levelFor, theoryOf } from "../support/theory.ts";
import { type Curve, crossing, curvesSvg, type Panel } from "./curves.ts";

/** Where levels lie, in dB from where theory reaches 90 %. */
const AROUND_DB = [-4, -3, -2, -1.5, -1, -0.5, 0, 0.5, 1, 2];

const folder = fileURLToPath(new URL("../../.cache/sensitivity/", import.meta.url));

/**
 * How many telegrams come through at which Eb/N0, everything included: found in 0.1 s of noise, off by up to ±8 kHz and
 * ±300 ppm, all layouts on, one copy. Beside it stands each layout's theory. The curves go to .cache/sensitivity as SVG.
 *
 * @param options.draws Telegrams a level; 40 by default.
 */
export default async function sensitivity({ seed, draws = 40 }: { seed: number; draws: number | undefined }) {
  console.log(`${draws} telegrams a level; dB at which 90 % are right, and verified, against theory`);
  const panels: Panel[] = [];
  for (const layout of builtinLayouts) {
    const theory = theoryOf(layout);
    const level = levelFor(theory.success, 0.9);
    const right: Curve["points"][number][] = [];
    const verified: Curve["points"][number][] = [];
    let wrong = 0;
    for (const around of AROUND_DB) {
      const db = level + around;
      const one = await heard(layout, { ebN0Db: db, telegrams: draws, seed });
      right.push({ db, right: one.right, of: draws });
      verified.push({ db, right: one.verified, of: draws });
      wrong += one.wrong;
    }
    const at = crossing({ points: right }, 0.9);
    const verifiedAt = crossing({ points: verified }, 0.9);
    console.log(
      `${layout.id.padEnd(18)} theory ${level.toFixed(2)}, right ${off(at, level)}, verified ${off(verifiedAt, level)}, verified though wrong ${wrong}`,
    );
    panels.push({
      title: layout.id,
      theory,
      curves: [
        { name: "read right", points: right },
        { name: "verified", points: verified },
      ],
    });
  }
  mkdirSync(folder, { recursive: true });
  writeFileSync(`${folder}layouts.svg`, curvesSvg(panels));
  console.log(`curves: ${folder}layouts.svg`);
}

function off(at: number | undefined, from: number): string {
  if (at === undefined) return "not within these levels";
  return `${at.toFixed(2)} (${at < from ? "" : "+"}${(at - from).toFixed(2)})`;
}
