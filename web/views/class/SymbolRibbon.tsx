import type { JSX } from "preact";
import type { MakingBody } from "../../../server/http/wire/making.ts";
import { SYMBOL_RIBBON, symbolRows } from "../../model/class/symbolRows.ts";
import { useWidth } from "../useWidth.ts";

/** What goes on air, symbol by symbol: preamble, sync and frame. */
export function SymbolRibbon({ made }: { readonly made: MakingBody }): JSX.Element {
  const [box, widthPx] = useWidth();
  const rows = symbolRows(made, Math.max(160, widthPx - 2));
  const { preamble, sync, frame } = made.symbols;
  return (
    <div ref={box}>
      <div
        role="img"
        aria-label={`Preamble ${preamble.length} symbols, sync ${sync === "" ? "cut away" : sync}, frame ${frame.length} symbols. The text below has them all.`}
      >
        {rows.map((row, i) => (
          <svg key={i} class="tool-chart" width={widthPx} height={SYMBOL_RIBBON.heightPx} aria-hidden="true">
            <g transform="translate(1 0)">
              <path class="ribbon" d={row.ribbon} />
              {row.bitTicks.map((x) => (
                <line key={x} class="axis-tick" x1={x} x2={x} y1={24} y2={28} />
              ))}
              {row.parts.map(({ name, x, width, label }) => (
                <g key={name}>
                  <path class="brace" d={`M${x + 1.5} 31v4H${x + width - 1.5}v-4`} />
                  {label !== undefined && (
                    <text x={Math.min(x, Math.max(0, widthPx - 7 * label.length))} y={49}>
                      {label}
                    </text>
                  )}
                </g>
              ))}
            </g>
          </svg>
        ))}
      </div>
      <details>
        <summary>The symbols as text</summary>
        <dl class="symbol-text">
          <dt>Preamble</dt>
          <dd>{preamble}</dd>
          <dt>Sync</dt>
          <dd>{sync === "" ? "cut away" : sync}</dd>
          <dt>Frame</dt>
          <dd>{frame}</dd>
        </dl>
      </details>
    </div>
  );
}
