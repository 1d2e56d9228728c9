import type { JSX } from "preact";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { MakingBody } from "../../../server/http/wire/making.ts";
import { checkRows, fieldRows, makingAnswer } from "../../model/class/makingAnswer.ts";
import { LINE_CODES } from "../../model/layoutWords.ts";
import { figure } from "../../model/quantities.ts";
import { BitKeys } from "../../views/class/BitKeys.tsx";
import { MadeSignal } from "../../views/class/MadeSignal.tsx";
import { SymbolRibbon } from "../../views/class/SymbolRibbon.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Ladder } from "../../views/recording/Ladder.tsx";
import { Table } from "../../views/Table.tsx";

interface MakingMadeProps {
  readonly layout: Layout;
  readonly made: MakingBody;
  /** Another one is under way. */
  readonly isOld: boolean;
  readonly isBroken: boolean;
  readonly turned: readonly number[];
  readonly onTurn: (bit: number) => void;
}

/** What became of a telegram: the answer, its bits, symbols and signal, and the ladder. */
export function MakingMade({ layout, made, isOld, isBroken, turned, onTurn }: MakingMadeProps): JSX.Element {
  const shelfHref = `/layouts/${encodeURIComponent(layout.id)}`;
  const bits = shownBits(made, turned);
  return (
    <>
      <section aria-labelledby="came">
        <h2 id="came">What the decoder says</h2>
        <p class="making-answer" role="status">
          {made.outcome === "read" ? (
            makingAnswer(made, isBroken)
          ) : (
            <Mark strength="look here" words={makingAnswer(made, isBroken)} />
          )}
          {isOld && <span class="caption">It is being made anew.</span>}
        </p>
        {made.outcome === "missed" && turned.length > 0 && (
          <p class="caption">
            The decoder turns a bit back only where it was not sure of it. A bit that comes in clear but wrong is told,
            and left as it is.
          </p>
        )}
        {made.telegram && (
          <Table
            caption="The fields, as they were sent and as they were read"
            columns={[
              { name: "Field", cell: ({ name }) => name },
              { name: "Sent", cell: ({ sent }) => sent },
              {
                name: "Read",
                cell: ({ read, differs }) => (differs ? <Mark strength="look here" words={read} /> : read),
              },
            ]}
            rows={fieldRows(layout, made)}
            keyOf={({ name }) => name}
            empty={{ says: "This layout has no fields.", action: { label: "The layout", href: shelfHref } }}
          />
        )}
      </section>
      <section aria-labelledby="bits">
        <h2 id="bits">The bits</h2>
        <p class="caption">Press a bit to turn it after the check was worked out. A turned one is filled.</p>
        <BitKeys layout={layout} bits={bits} turned={turned} onTurn={onTurn} />
        <Table
          caption="The check, worked out over what you wrote"
          columns={[
            { name: "Check", cell: ({ what }) => what },
            { name: "Value", figures: true, cell: ({ value }) => value },
          ]}
          rows={checkRows(layout, made)}
          keyOf={({ what }) => what}
          empty={{ says: "This layout has no check.", action: { label: "The layout", href: shelfHref } }}
        />
      </section>
      <section aria-labelledby="symbols">
        <h2 id="symbols">The symbols</h2>
        <p class="caption">
          {LINE_CODES[layout.lineCode]}
          {layout.whitening ? ", after whitening" : ""}, {figure(made.symbolRate, 0)}
          {"\u202f"}symbols/s, {figure(1000 * made.durationSeconds, 1)}
          {"\u202f"}ms on air
        </p>
        <SymbolRibbon made={made} />
      </section>
      <section aria-labelledby="signal">
        <h2 id="signal">The signal</h2>
        <MadeSignal made={made} />
      </section>
      <Ladder rungs={made.rungs} of="telegram that you made" />
    </>
  );
}

/** Turned at once, before the server has answered. */
function shownBits({ bits }: MakingBody, turned: readonly number[]): string {
  return Array.from(bits, (bit, i) => (turned.includes(i) ? (bit === "1" ? "0" : "1") : bit)).join("");
}
