import type { JSX } from "preact";
import { hitTicks, type SearchHit } from "../../model/recording/search.ts";

interface HitTicksProps {
  readonly hits: readonly SearchHit[];
  /** The key of the hit that is shown. */
  readonly at: string | undefined;
  /** Of the whole recording. */
  readonly seconds: number;
  readonly widthPx: number;
}

const HEIGHT_PX = 14;

/** Where the hits of a search lie, below the overview: wedges, and a ring around the one that is shown. */
export function HitTicks({ hits, at, seconds, widthPx }: HitTicksProps): JSX.Element | null {
  if (hits.length === 0) return null;
  const now = hits.find(({ key }) => key === at);
  const nowX = now && hitTicks([now], seconds, widthPx)[0];
  return (
    <svg class="hit-row" width={widthPx} height={HEIGHT_PX} aria-hidden="true">
      {hitTicks(hits, seconds, widthPx).map((x) => (
        <path key={x} class="hit-tick" d={`M${x + 0.5} 2l3.5 7h-7z`} />
      ))}
      {nowX !== undefined && <circle class="hit-now" cx={nowX + 0.5} cy={6.5} r={7} />}
    </svg>
  );
}
