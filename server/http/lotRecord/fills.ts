import { dayOf } from "../sheet/units.ts";
import type { FillBody, LotBody } from "../wire/lots.ts";
import { type Block, paragraph, type Section } from "./document.ts";
import { errorLimits, nominalLimits } from "./errorLimits.ts";
import { plain, shown, withUnit } from "./shown.ts";

/** The fills of the pot, set point by set point, each with what the gauge showed and what an error there may be. */
export function fillsSection(lot: LotBody): Section {
  const { setPoints, workedFills } = lot;
  const rows = setPoints.flatMap((_, i) => {
    const those = workedFills.filter(({ setPoint }) => setPoint === i);
    return those.length === 0 ? [row(lot, i, undefined)] : those.map((fill) => row(lot, i, fill));
  });
  const stray = workedFills.filter(({ setPoint }) => setPoint === null).map((fill) => row(lot, undefined, fill));
  const table: Block = {
    kind: "table",
    columns: [
      { name: "Set point", holds: "words", share: 3 },
      { name: "Gauge, kPa", holds: "figures", share: 3.4 },
      { name: "Pot", holds: "figures", share: 1.6 },
      { name: "Filled, UTC", holds: "words", share: 4.2 },
      { name: "Settled, UTC", holds: "words", share: 3.8 },
      { name: "Telegrams", holds: "words", share: 3.6 },
      { name: "Limit, kPa", holds: "figures", share: 2 },
    ],
    rows: [...rows, ...stray],
  };
  const blocks =
    table.rows.length === 0 ? [paragraph("No set point was named and the pot was never filled.")] : [table];
  return { heading: "Fills of the pot", across: true, whole: table.rows.length <= FEW, blocks };
}

/** Rows that stay on one page. */
const FEW = 12;

/** Such as `200 kPa, down`. */
export function setPointName({ kpa, way }: LotBody["setPoints"][number]): string {
  return `${withUnit(plain(kpa), "kPa")}, ${way}`;
}

function row(lot: LotBody, setPoint: number | undefined, fill: FillBody | undefined): readonly string[] {
  const point = setPoint === undefined ? undefined : lot.setPoints[setPoint];
  const name = point ? setPointName(point) : "none";
  const limit = setPoint === undefined ? "–" : limitInWords(lot, setPoint);
  if (!fill) return [name, "–", "–", "not filled", "–", "–", limit];
  return [
    name,
    gaugeInWords(fill),
    fill.temperatureC === null ? "–" : withUnit(shown(fill.temperatureC, 1), "°C"),
    `${dayOf(fill.at)}, ${secondOf(fill.at)}`,
    settledInWords(fill),
    fill.leftOut === 0 ? `${fill.used} used` : `${fill.used} used, ${fill.leftOut} left out`,
    limit,
  ];
}

function gaugeInWords({ gaugeKpa, gaugeMovedKpa }: FillBody): string {
  const figure = shown(gaugeKpa, 1);
  return gaugeMovedKpa === null || gaugeMovedKpa === 0 ? figure : `${figure}, moved ${shown(gaugeMovedKpa, 1)}`;
}

function settledInWords({ settledFrom, settledTo }: FillBody): string {
  if (settledFrom === null) return "not yet";
  return settledTo === null ? `from ${secondOf(settledFrom)}` : `${secondOf(settledFrom)} to ${secondOf(settledTo)}`;
}

/** Such as `21:20:04`, in UTC. */
function secondOf(at: string): string {
  return at.slice(11, 19);
}

/** Either side of the gauge; from the least to the most where it differs from one specimen to the next. */
function limitInWords(lot: LotBody, setPoint: number): string {
  const found = lot.rows.flatMap((specimen) => errorLimits(lot, specimen, setPoint)?.upperKpa ?? []);
  const nominal = nominalLimits(lot, setPoint)?.upperKpa;
  const all = found.length > 0 ? found : nominal === undefined ? [] : [nominal];
  if (all.length === 0) return "none";
  const [least, most] = [plain(Math.min(...all)), plain(Math.max(...all))];
  return `±\u00a0${least === most ? least : `${least} to ${most}`}`;
}
