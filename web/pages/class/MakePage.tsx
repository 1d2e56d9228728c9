import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { layouts } from "../../calls/layouts.ts";
import { useLoaded } from "../../loaded.ts";
import { type Breaks, breakWords, firstDraft, typedValues, WHOLE } from "../../model/class/makingDraft.ts";
import { airWords, carrierWords } from "../../model/layoutWords.ts";
import { Empty } from "../../views/Empty.tsx";
import { PickOne } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { MakeBreaks } from "./MakeBreaks.tsx";
import { MakeFields } from "./MakeFields.tsx";
import { MakingMade } from "./MakingMade.tsx";
import { useMaking } from "./useMaking.ts";
import "./tools.css";

/** A telegram that somebody writes, sees as bits, symbols and signal, and breaks. */
export function MakePage(): JSX.Element {
  const loaded = useLoaded("layouts", layouts);
  return (
    <Page
      title="Make one yourself"
      lead="Write a telegram, see what goes on air, then break it: which rung of the ladder misses, and by how much?"
      margin={<MakeMargin />}
    >
      <Waiting loaded={loaded} what="the layouts">
        {(all) => <Chosen layouts={all.filter(({ builtin }) => builtin).map(({ layout }) => layout)} />}
      </Waiting>
    </Page>
  );
}

const FIRST_LAYOUT = "pilot-car";

function Chosen({ layouts: all }: { readonly layouts: readonly Layout[] }): JSX.Element {
  const [id, setId] = useState(FIRST_LAYOUT);
  const layout = all.find((one) => one.id === id) ?? all[0];
  if (!layout) {
    return <Empty says="No layout of the house is on the shelf." action={{ label: "The shelf", href: "/layouts" }} />;
  }
  return (
    <>
      <PickOne
        label="Layout"
        value={layout.id}
        onChange={setId}
        options={all.map((one) => [one.id, `${one.id}: ${one.title}`] as const)}
      />
      <p class="caption">
        {carrierWords(layout)}, {airWords(layout)}, {layout.bits} bits
      </p>
      <Maker key={layout.id} layout={layout} />
    </>
  );
}

function Maker({ layout }: { readonly layout: Layout }): JSX.Element {
  const [draft, setDraft] = useState(() => firstDraft(layout));
  const [breaks, setBreaks] = useState<Breaks>(WHOLE);
  const [seed, setSeed] = useState(1);
  const { values, wrong } = typedValues(layout, draft);
  const isWritten = Object.keys(wrong).length === 0;
  const { made, problem, isOld, again } = useMaking(layout.id, isWritten ? values : undefined, breaks, seed);
  const broken = breakWords(breaks);
  const change = (changed: Partial<Breaks>) => setBreaks((before) => ({ ...before, ...changed }));
  const turn = (bit: number) => {
    const { flipBits } = breaks;
    change({
      flipBits: flipBits.includes(bit)
        ? flipBits.filter((one) => one !== bit)
        : [...flipBits, bit].sort((a, b) => a - b),
    });
  };
  return (
    <>
      <section aria-labelledby="write">
        <h2 id="write">Write it</h2>
        <MakeFields
          layout={layout}
          draft={draft}
          wrong={wrong}
          onChange={(name, text) => setDraft((before) => ({ ...before, [name]: text }))}
        />
      </section>
      <section aria-labelledby="break">
        <h2 id="break">Break it</h2>
        <MakeBreaks layout={layout} breaks={breaks} onChange={change} />
        <p class="caption">Bits are turned by pressing them, below.</p>
        <p class="form-foot">
          <button type="button" class="button" disabled={broken.length === 0} onClick={() => setBreaks(WHOLE)}>
            Mend it
          </button>
          <button type="button" class="button" disabled={!isWritten} onClick={() => setSeed((n) => n + 1)}>
            Make it once more
          </button>
          <span class="caption">Once more is with other noise.</span>
        </p>
        <p>{broken.length === 0 ? "Nothing is broken." : `Broken: ${broken.join("; ")}.`}</p>
      </section>
      {!isWritten && <p role="status">It is made as soon as every box fits.</p>}
      {problem && <ProblemNote problem={problem} again={again} />}
      {made && (
        <MakingMade
          layout={layout}
          made={made}
          isOld={isOld}
          isBroken={broken.length > 0}
          turned={breaks.flipBits}
          onTurn={turn}
        />
      )}
    </>
  );
}

function MakeMargin(): JSX.Element {
  return (
    <>
      <h2>Mind</h2>
      <ul class="plain">
        <li>This makes a drawing and a recording on this computer only. Nothing is sent.</li>
        <li>
          Sending on these bands is bound by rules, and in part by licences. Local rules and the maker’s procedure come
          first.
        </li>
      </ul>
      <h2>How it is done</h2>
      <ul class="plain">
        <li>The telegram is made by the house’s own modulator, with white noise.</li>
        <li>It is read by the decoder that reads every recording, with all layouts of the house.</li>
        <li>Layouts and sensors are invented.</li>
        <li>The level is Eb/N0: energy of one bit over the power of the noise in one hertz.</li>
      </ul>
    </>
  );
}
