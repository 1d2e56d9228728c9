import type { JSX } from "preact";
import { stuckRows, type YardSettings } from "../../model/class/yardSettings.ts";
import { Table } from "../../views/Table.tsx";

/** What is behind the figures, in words. */
export function CollisionsWords({ settings }: { readonly settings: YardSettings }): JSX.Element {
  return (
    <section aria-labelledby="why">
      <h2 id="why">Why it is so</h2>
      <div class="words-of-tool">
        <h3>Why a decoder reads more than ALOHA says</h3>
        <p>
          ALOHA takes every overlap for a loss of both. A real decoder reads the louder of two, takes it off the signal,
          and reads what is left. The more the levels or the carriers differ, the more often this works. Two that are as
          loud, on one frequency and begin together stay lost.
        </p>
        <p>
          It can also be worse. A weak telegram right behind a loud one may be lost though the two never met: the table
          of the play counts those apart.
        </p>
        <h3>Why sensors vary their pauses</h3>
        <p>
          Two sensors with one strict period that meet once meet again and again, until their clocks have drifted apart.
          So some wheels are silent for minutes, and others never lose a telegram. Choose “all the same” above and play
          it a few times to see it. With 10{"\u202f"}ms every 60{"\u202f"}s and clocks 20{"\u202f"}ppm apart, it lasts
          17{"\u202f"}min. A pause that changes each time lets them meet once and part.
        </p>
        <Table
          caption="Two strict sensors that have met: how long they go on hitting each other, with d and T as the sliders stand"
          columns={[
            { name: "Clocks differ by", figures: true, cell: ({ clocks }) => clocks },
            { name: "Periods", figures: true, cell: ({ periods }) => periods },
            { name: "Time", figures: true, cell: ({ time }) => time },
          ]}
          rows={stuckRows(settings)}
          keyOf={({ clocks }) => clocks}
          empty={{ says: "There is nothing to tell.", action: { label: "All words", href: "/words" } }}
        />
        <h3>What copies help</h3>
        <p>
          Two copies are both lost far more seldom than one. But every copy also fills the channel: beyond a load of one
          half, more copies mean fewer telegrams. And copies help only if each goes out at a moment of its own.
        </p>
      </div>
    </section>
  );
}
