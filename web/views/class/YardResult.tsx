import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { YardPlayBody } from "../../../server/http/wire/yard.ts";
import { chanceWords } from "../../model/class/yardSettings.ts";
import { blockPath, type Fate, fateOf, sensorRows, shownSeconds, yardStrip } from "../../model/class/yardStrip.ts";
import { figure } from "../../model/quantities.ts";
import { Table } from "../Table.tsx";
import { useWidth } from "../useWidth.ts";
import { Slider } from "./Slider.tsx";

const LEFT_PX = 34;
const AXIS_PX = 22;
const FATES: readonly (readonly [fate: Fate, words: string])[] = [
  ["alone, read", "alone, read"],
  ["overlapped, read", "overlapped, read all the same"],
  ["overlapped, lost", "overlapped, lost"],
  ["alone, lost", "alone, lost: mostly right behind a louder one"],
];

/** The last play: who sent when, what met, what was read. */
export function YardResult({ play }: { readonly play: YardPlayBody }): JSX.Element {
  const [from, setFrom] = useState(0);
  const [box, widthPx] = useWidth();
  const drawnPx = Math.max(160, widthPx - LEFT_PX);
  const strip = yardStrip(play, from, drawnPx);
  const span = shownSeconds(play);
  const { copies, telegrams, asked } = play;
  return (
    <section aria-labelledby="play">
      <h2 id="play">The last play</h2>
      <p>{play.because}</p>
      <ul class="look-key" aria-label="What the shapes say">
        {FATES.map(([fate, words]) => (
          <li key={fate}>
            <svg width="34" height="16" aria-hidden="true">
              <path class={blockClass(fate)} d={blockPath(fate, 4, 3, 24)} />
            </svg>
            <span>
              {play.sent.filter((one) => fateOf(one) === fate).length} {words}
            </span>
          </li>
        ))}
      </ul>
      {span < asked.seconds && (
        <div class="sliders">
          <Slider
            label="Shown from"
            value={from}
            least={0}
            most={Math.max(0, Number((asked.seconds - span).toFixed(3)))}
            step={span / 10}
            words={`${figure(from, 2)} to ${figure(from + span, 2)}\u202fs of ${figure(asked.seconds, 1)}\u202fs`}
            onInput={setFrom}
          />
        </div>
      )}
      <div class="yard-box" ref={box}>
        <svg class="tool-chart" width={drawnPx + LEFT_PX} height={AXIS_PX} aria-hidden="true">
          <g transform={`translate(${LEFT_PX} 0)`}>
            {strip.ticks.map(({ x, label }) => (
              <g key={label}>
                <line class="axis-tick" x1={x} x2={x} y1={AXIS_PX - 5} y2={AXIS_PX} />
                <text x={Math.min(drawnPx - 16, Math.max(4, x))} y={13} text-anchor="middle">
                  {`${label} s`}
                </text>
              </g>
            ))}
          </g>
        </svg>
        <div
          class="yard-rows"
          role="img"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls, and has to be reached by keys
          tabIndex={0}
          aria-label={`A row for each of ${asked.sensors} sensors over time: ${copies.sent} telegrams, ${copies.overlapped} overlapped, ${copies.read} read. The table below has the figures of each sensor.`}
        >
          <svg class="tool-chart" width={drawnPx + LEFT_PX} height={strip.heightPx} aria-hidden="true">
            {strip.rows.map(({ sensor, y, blocks }) => (
              <g key={sensor}>
                <text x={LEFT_PX - 8} y={y + 9} text-anchor="end">
                  {sensor}
                </text>
                <g transform={`translate(${LEFT_PX} 0)`}>
                  <line class="grid-line" x1={0} x2={drawnPx} y1={y + 5} y2={y + 5} />
                  {blocks.map(({ key, path, fate }) => (
                    <path key={key} class={blockClass(fate)} d={path} />
                  ))}
                </g>
              </g>
            ))}
          </svg>
        </div>
      </div>
      <Table
        caption="The play in figures"
        columns={[
          { name: "What", cell: ({ what }) => what },
          { name: "Counted", figures: true, cell: ({ counted }) => counted },
          { name: "ALOHA says", figures: true, cell: ({ aloha }) => aloha },
        ]}
        rows={[
          { what: "Telegrams on air, copies counted", counted: String(copies.sent), aloha: "" },
          {
            what: "Overlapped",
            counted: `${copies.overlapped}`,
            aloha: figure(play.overlap.aloha * copies.sent, 0),
          },
          { what: "Read", counted: `${copies.read}`, aloha: figure(play.success.aloha * copies.sent, 0) },
          { what: "Read in spite of an overlap", counted: `${copies.overlappedRead}`, aloha: "0" },
          { what: "Lost though no other was on air", counted: `${copies.aloneLost}`, aloha: "0" },
          { what: "Read as something that nobody sent", counted: `${copies.misread}`, aloha: "0" },
          ...(asked.copies > 1
            ? [
                {
                  what: `Telegrams of which no copy was read, of ${telegrams.sent}`,
                  counted: String(telegrams.sent - telegrams.read),
                  aloha: `${figure(telegrams.allHitAloha * telegrams.sent, 0)} (${chanceWords(telegrams.allHitAloha)})`,
                },
              ]
            : []),
        ]}
        keyOf={({ what }) => what}
        empty={{ says: "Nothing was sent.", action: { label: "All words", href: "/words" } }}
      />
      <details>
        <summary>Each sensor</summary>
        <Table
          caption="Telegrams of each sensor, copies counted"
          columns={[
            { name: "Sensor", figures: true, cell: ({ sensor }) => sensor },
            { name: "Sent", figures: true, cell: ({ sent }) => sent },
            { name: "Overlapped", figures: true, cell: ({ overlapped }) => overlapped },
            { name: "Of these read", figures: true, cell: ({ overlappedRead }) => overlappedRead },
            { name: "Lost in all", figures: true, cell: ({ lost }) => lost },
          ]}
          rows={sensorRows(play)}
          keyOf={({ sensor }) => String(sensor)}
          empty={{ says: "There is no sensor.", action: { label: "All words", href: "/words" } }}
        />
      </details>
    </section>
  );
}

function blockClass(fate: Fate): string {
  return fate.endsWith("read") ? "block block-solid" : "block block-hollow";
}
