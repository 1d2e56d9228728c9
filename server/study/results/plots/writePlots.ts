import type { StudyFacts } from "../facts.ts";
import type { HeardTally } from "../heardTally.ts";
import type { LadderCounts } from "../ladderTable.ts";
import { dataHash } from "../manifestFile.ts";
import type { ResultFolder } from "../resultFolder.ts";
import { svgText } from "./figure.ts";
import { gapsFigure } from "./gapsFigure.ts";
import { type InputYield, inputsFigure } from "./inputsFigure.ts";
import { ladderFigure } from "./ladderFigure.ts";
import { offsetFigure } from "./offsetFigure.ts";
import { snrFigure } from "./snrFigure.ts";

/** Draws the figures of a study into `plots` of its results. */
export async function writePlots(
  folder: ResultFolder,
  facts: StudyFacts,
  { ladder, heard, yields }: { ladder: LadderCounts; heard: HeardTally; yields: readonly InputYield[] },
): Promise<void> {
  const source = { study: facts.title, toolVersion: facts.toolVersion, dataSha256: dataHash(facts.inputs) };
  const { read, unread } = heard.snr();
  const bins = heard.bins();
  const figures = [
    ladderFigure(ladder.rungs),
    inputsFigure(yields),
    snrFigure({ read: { bins: bins.read, spread: read }, unread: { bins: bins.unread, spread: unread } }),
    offsetFigure(heard.layouts()),
    gapsFigure(bins.gaps, heard.gaps()),
  ];
  for (const figure of figures) await folder.write(`plots/${figure.name}.svg`, svgText(figure, source));
}
