import type { JSX } from "preact";
import type { WorkedFrames } from "../../../decoders/workshop/workOut.ts";
import { LINE_CODES } from "../../model/layoutWords.ts";
import { counted, figure } from "../../model/quantities.ts";
import { likenessStretches, rasterRows } from "../../model/workshop/frameRaster.ts";
import { FrameRaster } from "../../views/FrameRaster.tsx";
import { Table } from "../../views/Table.tsx";
import type { StationProps } from "./StationSheet.tsx";

export interface FramesProps extends StationProps {
  readonly frames: WorkedFrames;
}

export function LineUpStation({ here, sheet, frames }: FramesProps): JSX.Element {
  const { head, preambleEnd, codes, damaged } = frames.lineUp;
  const asked = sheet.worksheet.now.lineCode;
  const turnedOver = (name: string) =>
    codes.find(({ lineCode, inverted }) => lineCode === name && inverted)?.behind ?? Number.POSITIVE_INFINITY;
  return (
    <>
      <h3>Before the frame</h3>
      <p class="caption">Symbols that all bursts share: first what repeats, then the sync behind the gap.</p>
      <p class="symbols-row">
        <code class="bits">{head.slice(0, preambleEnd)}</code> <code class="bits">{head.slice(preambleEnd)}</code>
      </p>
      <RasterOf frames={frames} />
      <section aria-labelledby="codes">
        <h3 id="codes">Line codes</h3>
        <Table
          caption="The likeliest first; behind: how many times less likely a burst is"
          rows={codes.filter(({ inverted }) => !inverted)}
          keyOf={({ lineCode }) => lineCode}
          empty={{ says: "No line code was tried.", action: { label: "Gather more bursts", href: "?at=gather" } }}
          columns={[
            { name: "Line code", cell: ({ lineCode }) => LINE_CODES[lineCode] },
            { name: "Behind", figures: true, cell: ({ behind }) => behindWords(behind) },
            { name: "Turned over, behind", figures: true, cell: ({ lineCode }) => behindWords(turnedOver(lineCode)) },
            { name: "Against the code", figures: true, cell: ({ brokenShare }) => `${figure(100 * brokenShare, 1)} %` },
            {
              name: "",
              cell: ({ lineCode, taken }) =>
                taken && asked === null ? (
                  "taken"
                ) : taken ? (
                  <button
                    type="button"
                    class="button small"
                    disabled={here.busy}
                    onClick={() => here.decide("Left the line code to the likeliest", { lineCode: null })}
                  >
                    Leave it to the likeliest
                  </button>
                ) : (
                  <button
                    type="button"
                    class="button small"
                    disabled={here.busy}
                    onClick={() => here.decide(`Read the frames as ${LINE_CODES[lineCode]}`, { lineCode })}
                  >
                    Read them so
                  </button>
                ),
            },
          ]}
        />
      </section>
      {damaged.length > 0 && (
        <p>
          {counted(damaged.length, "burst")} broke off or has too much against the line code:{" "}
          <span class="fixed-width">{damaged.slice(0, 12).join(", ")}</span>
          {damaged.length > 12 ? " and more" : ""}.
        </p>
      )}
    </>
  );
}

/** The frames below each other, with how their bits move. */
export function RasterOf({ frames }: { readonly frames: WorkedFrames }): JSX.Element {
  const { rows, left } = rasterRows(frames);
  return (
    <>
      <FrameRaster
        rows={rows}
        stretches={likenessStretches(frames.bits)}
        flips={frames.bits.map(({ flips }) => flips)}
        label={`${counted(rows.length, "telegram")} below each other, a box for each 1; the table of bits has the same in figures`}
      />
      <p class="caption">
        A row for each telegram, those of a sensor together; the bars above say how often a bit changes from one
        telegram of a sensor to its next.{left > 0 ? ` ${counted(left, "telegram")} of them not drawn.` : ""}
      </p>
    </>
  );
}

function behindWords(nats: number): string {
  if (nats === Number.POSITIVE_INFINITY) return "not tried";
  if (nats < 0.5) return "as likely";
  const tens = nats * Math.LOG10E;
  return tens < 4
    ? `${Math.round(10 ** tens).toLocaleString("en-GB")} times`
    : `10 to the power of ${Math.round(tens)}`;
}
