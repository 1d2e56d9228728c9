import type { AmbientAir } from "../../jobs/pressure/ambientAir.ts";
import type { Paper } from "../sheet/style.ts";
import type { LotBody } from "../wire/lots.ts";
import { aboutSection } from "./about.ts";
import { closingSections } from "./closing.ts";
import { conditionsSection } from "./conditions.ts";
import type { RecordDocument } from "./document.ts";
import { errorSection } from "./errorFigure.ts";
import { fillsSection } from "./fills.ts";
import { gaugeSection } from "./gauge.ts";
import { limitsSection, ruleSection } from "./limits.ts";
import { lotViewSection } from "./lotView.ts";
import { planSection } from "./planFigure.ts";
import { resultSection } from "./result.ts";
import { specimensSection } from "./specimens.ts";
import { type BudgetOf, uncertaintySection } from "./uncertainty.ts";

export interface RecordContext {
  /** RFC 3339. */
  readonly printedAt: string;
  readonly version: string;
  /** Of what it stands on, as `dataHash` gives it. */
  readonly dataHash: string;
  /** Taken off what sensors told as absolute pressure; `undefined`: none told it so. */
  readonly airTakenOff?: AmbientAir | undefined;
  /** Receivers and recordings that were listened to, by name. */
  readonly heardBy: readonly string[];
  /** `undefined`: whatever the printer has; a PDF is A4 then. */
  readonly paper?: Paper | undefined;
  /** Of the error with the widest uncertainty; `undefined`: the record says what the gauge gives of it. */
  readonly widest?: BudgetOf | undefined;
}

/**
 * The record of a lot, the result first: what was found on how many specimens, by which limits, rule and gauge, and what was
 * not tested.
 *
 * @throws RangeError if the lot's counts are not those of its rows.
 */
export function lotRecord(lot: LotBody, context: RecordContext): RecordDocument {
  const { printedAt, version, dataHash, airTakenOff, heardBy, paper, widest } = context;
  const madeBy = `Wheelgram ${version}`;
  const name = lot.title.trim();
  const title = name === "" ? `Lot record ${lot.id}` : `Lot record ${lot.id}: ${name}`;
  return {
    title,
    foot: `Lot record ${lot.id}, revision ${lot.revision}, data ${dataHash}, ${madeBy}`,
    printedAt,
    madeBy,
    lotId: lot.id,
    paper,
    sections: [
      resultSection(lot),
      aboutSection(lot, printedAt, madeBy),
      limitsSection(lot),
      ruleSection(lot),
      gaugeSection(lot),
      conditionsSection(lot, heardBy, airTakenOff),
      specimensSection(lot),
      fillsSection(lot),
      errorSection(lot),
      planSection(lot),
      lotViewSection(lot),
      uncertaintySection(lot, widest),
      ...closingSections(lot, dataHash),
    ],
  };
}
