import type { JSX } from "preact";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { acceptancePlot, chanceShown } from "../../model/bench/acceptancePlot.ts";
import { Mark } from "../Mark.tsx";
import { Table } from "../Table.tsx";
import { PlotAxes } from "./PlotAxes.tsx";
import { PlotBand } from "./PlotBand.tsx";

/** How wide a letter of a name is, about. */
const LETTER_PX = 7;

/** What the plan lets through: the chance of being accepted over how bad a delivery is. */
export function AcceptancePlotView({ lot }: { readonly lot: LotBody }): JSX.Element | null {
  const { acceptance, plan } = lot;
  const first = acceptancePlot(acceptance, plan, 640);
  if (!first) return null;
  const plotAt = (widthPx: number) => acceptancePlot(acceptance, plan, widthPx) ?? first;
  const isShort = first.risks.some(({ isTooLarge }) => isTooLarge);
  return (
    <PlotBand
      name="what the plan lets through"
      heading={
        <>
          {isShort && <Mark strength="look here" />} {first.says}
        </>
      }
      axes="Across: how many of the delivery are outside, in per cent. Upwards: the chance that it is accepted, in per cent"
      howToRead={
        <p>
          The curve is the plan's, not this delivery's: of deliveries with so many outside so many would be accepted.
          The left point is the good delivery, the right one the bad; a filled point keeps the risk that was asked for,
          a hollow one does not.
        </p>
      }
      stepsAt={(widthPx) => plotAt(widthPx).points}
      heightAt={(widthPx) => plotAt(widthPx).box.heightPx}
      table={() => (
        <Table
          caption="The chance of being accepted"
          rows={acceptance.curve}
          keyOf={({ percent }) => String(percent)}
          empty={{ says: "There is no curve yet.", action: { label: "All lots", href: "/bench" } }}
          columns={[
            { name: "Outside, %", figures: true, cell: ({ percent }) => Number(percent.toFixed(2)) },
            { name: "Accepted", figures: true, cell: ({ probability }) => chanceShown(probability) },
          ]}
        />
      )}
    >
      {(widthPx) => {
        const { box, percent, chance, path, risks } = plotAt(widthPx);
        // Where a name would reach over the edge it ends there.
        const isOver = (x: number, label: string) => x + 10 + LETTER_PX * label.length > widthPx;
        return (
          <>
            <PlotAxes box={box} across={percent} up={chance} acrossName="Outside in the delivery, %" />
            <path class="plot-line" d={path} />
            {risks.map(({ x, y, label, isTooLarge, isHigh }) => (
              <g key={label}>
                <circle class={isTooLarge ? "risk-missed" : "risk-kept"} cx={x} cy={y} r="5" />
                <text
                  class="plot-label"
                  x={isOver(x, label) ? widthPx : x + 10}
                  y={isHigh ? y + 4 : y - 12}
                  text-anchor={isOver(x, label) ? "end" : "start"}
                >
                  {label}
                </text>
              </g>
            ))}
          </>
        );
      }}
    </PlotBand>
  );
}
