import type { LotBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { ended } from "./shown.ts";

/** What was not tested, what people wrote, what the record is not, and who signs it. */
export function closingSections(lot: LotBody, dataHash: string): readonly Section[] {
  const { notTested, warnings, remarks } = lot;
  const strong = warnings.filter(({ strength }) => strength !== "note");
  const lines = remarks
    .split(/\n+/)
    .map((one) => one.trim())
    .filter((one) => one !== "");
  return [
    ...(strong.length === 0
      ? []
      : [
          side(
            "Warnings",
            strong.map(({ strength, says }) => paragraph(ended(says), STRENGTHS[strength])),
          ),
        ]),
    side("Not tested", [
      paragraph(notTested.length === 0 ? "Nothing was named as not tested." : notTested.map(ended).join(" ")),
    ]),
    ...(lines.length === 0
      ? []
      : [
          side(
            "Remarks",
            lines.map((one) => paragraph(one)),
          ),
        ]),
    side("Take care", [paragraph(CARE)]),
    side("Signed", [
      paragraph(ACCREDITS_NOTHING),
      paragraph(`Data ${dataHash}: the entries, telegrams and gauge readings that this stands on.`),
      { kind: "signatures", places: ["Tested by, date", "Decided by, date"] },
    ]),
  ];
}

const STRENGTHS = { stop: "■ Stop:", "look here": "▲ Look here:", note: "" } as const;

const CARE =
  "Pot within its rating, relief valve fitted, eye protection; the maker's procedure and local rules come first.";

const ACCREDITS_NOTHING =
  "This record accredits nothing: it says what was measured on these specimens, with this gauge and this rule. Figures of radio are a guide only; calibration and approval are for accredited laboratories.";

function side(heading: string, blocks: Section["blocks"]): Section {
  return { heading, across: false, whole: heading === "Signed", blocks };
}
