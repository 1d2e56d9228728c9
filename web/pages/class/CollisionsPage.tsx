import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { loadOf } from "../../../decoders/radio/aloha.ts";
import type { YardPlayBody } from "../../../server/http/wire/yard.ts";
import type { Problem } from "../../api.ts";
import { playYard } from "../../calls/yard.ts";
import {
  FIRST_SETTINGS,
  formulaRows,
  PERIODS,
  periodOf,
  playOf,
  secondsWords,
  sendersOf,
  type YardSettings,
} from "../../model/class/yardSettings.ts";
import { figure } from "../../model/quantities.ts";
import { AlohaCharts } from "../../views/class/AlohaCharts.tsx";
import { Slider } from "../../views/class/Slider.tsx";
import { YardResult } from "../../views/class/YardResult.tsx";
import { Choice } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";
import { CollisionsWords } from "./CollisionsWords.tsx";
import "./tools.css";

/** Sensors that do not listen to each other: what ALOHA says, and what a decoder reads of a yard of them. */
export function CollisionsPage(): JSX.Element {
  const [settings, setSettings] = useState<YardSettings>(FIRST_SETTINGS);
  const [plays, setPlays] = useState<readonly YardPlayBody[]>([]);
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const set = (changed: Partial<YardSettings>) => setSettings((before) => ({ ...before, ...changed }));
  const wanted = playOf(settings);
  const last = plays.at(-1);

  const play = async () => {
    if (!wanted.ok) return;
    setBusy(true);
    setProblem(undefined);
    const answer = await playYard(wanted.play);
    setBusy(false);
    if (answer.ok) setPlays((before) => [...before, answer.value].slice(-MOST_POINTS));
    else setProblem(answer.problem);
  };

  return (
    <Page
      title="Collisions"
      lead="Wheel sensors do not listen before they send. How often do two of them meet, and what is lost by it?"
      margin={<CollisionsMargin />}
    >
      <section aria-labelledby="yard">
        <h2 id="yard">The yard</h2>
        <div class="sliders">
          <Slider
            label="Sensors within reach, n"
            value={settings.sensors}
            least={2}
            most={100}
            step={1}
            words={`${settings.sensors}`}
            onInput={(sensors) => set({ sensors })}
          />
          <Slider
            label="Each sends about every, T"
            value={settings.period}
            least={0}
            most={PERIODS.length - 1}
            step={1}
            words={`${periodOf(settings)}\u202fs`}
            onInput={(period) => set({ period })}
          />
          <Slider
            label="Length of a telegram, d"
            value={settings.telegramMs}
            least={4}
            most={40}
            step={1}
            words={`${settings.telegramMs}\u202fms`}
            onInput={(telegramMs) => set({ telegramMs })}
          />
          <Slider
            label="Copies of each telegram"
            value={settings.copies}
            least={1}
            most={4}
            step={1}
            words={`${settings.copies}`}
            onInput={(copies) => set({ copies })}
          />
          <Slider
            label="Levels differ by up to"
            value={settings.levelSpreadDb}
            least={0}
            most={30}
            step={3}
            words={`${settings.levelSpreadDb}\u202fdB`}
            onInput={(levelSpreadDb) => set({ levelSpreadDb })}
          />
          <Choice
            legend="The pauses of a sensor"
            value={settings.timing}
            onChange={(timing) => set({ timing })}
            options={[
              ["varied", "Each another one, by up to half"],
              ["strict", "All the same, but for its clock"],
            ]}
          />
        </div>
        <p class="caption">
          {wanted.ok
            ? `A play is a recording of ${secondsWords(wanted.play.seconds)} with about ${wanted.telegrams} telegrams${settings.copies > 1 ? ", copies counted" : ""}. It is made and decoded here, which takes some seconds.${wanted.telegrams < FEW ? " So few tell little: a shorter period shows more." : ""}`
            : wanted.says}
        </p>
        <p class="form-foot">
          <button type="button" class="button main" disabled={busy || !wanted.ok} onClick={() => void play()}>
            Play it
          </button>
          {plays.length > 0 && (
            <button type="button" class="button" disabled={busy} onClick={() => setPlays([])}>
              Take the points away
            </button>
          )}
        </p>
        <p role="status">{busy ? "The yard is being made and decoded." : last ? playWords(last) : ""}</p>
        {problem && <ProblemNote problem={problem} again={() => void play()} />}
      </section>
      <AlohaCharts senders={settings.sensors} load={loadOf(sendersOf(settings))} plays={plays} />
      <section aria-labelledby="formulas">
        <h2 id="formulas">What the formulas say</h2>
        <Table
          caption="Of the yard as the sliders stand. Every overlap counts as a loss here, were it for a moment only."
          columns={[
            { name: "What", cell: ({ name }) => name },
            { name: "Formula", cell: ({ formula }) => formula },
            { name: "Value", figures: true, cell: ({ value }) => value },
          ]}
          rows={formulaRows(settings)}
          keyOf={({ name }) => name}
          empty={{
            says: "In twice the time of a telegram each sensor would send again: the formulas say nothing of such a yard.",
            action: { label: "The first yard again", onClick: () => setSettings(FIRST_SETTINGS) },
          }}
        />
      </section>
      {last && <YardResult key={plays.length} play={last} />}
      <CollisionsWords settings={settings} />
    </Page>
  );
}

/** Points on the chart; of more the oldest go. */
const MOST_POINTS = 12;
const FEW = 40;

function playWords({ copies, telegrams, asked }: YardPlayBody): string {
  if (copies.sent === 0) return "Nothing was sent in this play.";
  const lost = copies.sent - copies.read;
  const inSpite = `${copies.overlappedRead} of the ${copies.overlapped} that were overlapped`;
  const first = `Of ${copies.sent} telegrams ${copies.read} were read and ${lost} lost. The decoder read ${inSpite}.`;
  return asked.copies === 1
    ? first
    : `${first} With ${asked.copies} copies each, ${telegrams.read} of ${telegrams.sent} came through (${figure((100 * telegrams.read) / telegrams.sent, 0)}\u202f%).`;
}

function CollisionsMargin(): JSX.Element {
  return (
    <>
      <h2>Where this comes from</h2>
      <ul class="plain">
        <li>Chance of a hit and throughput: N. Abramson, “The ALOHA System”, 1970, from memory.</li>
        <li>Figures are worked out here, and a run by chance agrees with them.</li>
        <li>Intervals: Wilson’s score, 1927, with fewer telegrams counted, as an overlap mostly takes two.</li>
        <li>Telegram, sensors and yard are invented.</li>
      </ul>
      <h2>Mind</h2>
      <ul class="plain">
        <li>The yard is made on this computer. Nothing is sent.</li>
        <li>How often a sensor may send is set by local rules. A maker’s own figures come first.</li>
      </ul>
    </>
  );
}
