import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { ReceiverBody } from "../../../server/http/wire.ts";
import { useAction } from "../../actionsHere.ts";
import { useSettings } from "../../device.ts";
import type { Nominal } from "../../model/sending/carrierVerdict.ts";
import { HELD_WORDS, type Held } from "../../model/sending/held.ts";
import { pressChart } from "../../model/sending/pressChart.ts";
import { isHeard, PRESSES, pressRun } from "../../model/sending/pressRun.ts";
import { type RunAnswer, runAnswer, scaleWords } from "../../model/sending/runAnswer.ts";
import { runText } from "../../model/sending/runText.ts";
import { timeShown } from "../../model/times.ts";
import { play } from "../../sound.ts";
import { CopyButton } from "../../views/CopyButton.tsx";
import { ActionButton } from "../../views/Empty.tsx";
import { Mark } from "../../views/Mark.tsx";
import type { HeardHere } from "./heard.ts";
import { PressChartView } from "./PressChartView.tsx";
import { PressTable } from "./PressTable.tsx";

interface RunProps {
  readonly heard: HeardHere;
  readonly held: Held;
  readonly nominals: readonly Nominal[];
  readonly receivers: readonly ReceiverBody[];
  readonly listeningCount: number;
}

/** Ten times that it is made to send: the answer at once, and after each what it adds. */
export function Run({ heard, held, nominals, receivers, listeningCount }: RunProps): JSX.Element {
  const { bursts, telegrams, nowMs } = heard;
  const [startedMs, setStarted] = useState(Date.now);
  const [missedAfter, setMissed] = useState<readonly number[]>([]);
  const run = pressRun(bursts, telegrams, missedAfter);
  const waitedSeconds = Math.max(0, nowMs - startedMs) / 1000;
  const answer = runAnswer({ run, held, nominals, listeningCount, waitedSeconds });
  const receiver = receivers.find(({ id }) => id === run.receiverId);
  const chart = pressChart(run, answer.trend);
  const scale = scaleWords(run, receiver);
  const count = run.presses.length;
  const canMiss = listeningCount > 0 && count < PRESSES;
  useSounds(run.presses.map((press) => isHeard(press) && !press.clipped));

  const begin = () => {
    heard.clear();
    setMissed([]);
    setStarted(Date.now());
  };
  const miss = () => setMissed([...missedAfter, run.presses.filter(isHeard).length]);
  const takeBack = () => setMissed(missedAfter.slice(0, -1));
  useAction("sending.start", begin);
  useAction("sending.missed", miss, canMiss);
  useAction("sending.undo", takeBack, missedAfter.length > 0);

  return (
    <section class="run" aria-label="Ten times">
      <p class="heard-only" role="status">
        {`${answer.spoken} ${answer.big}.`}
      </p>
      <div class="answer">
        <p class="answer-big">
          <Mark strength={isFine(answer) ? "as expected" : "look here"} words={answer.big} />
        </p>
        <p>{answer.says}</p>
        {answer.nextSteps.length > 0 && (
          <ol class="next-steps" aria-label="Next steps">
            {answer.nextSteps.map((step) => (
              <li key={step}>{step}</li>
            ))}
          </ol>
        )}
        {answer.counter !== undefined && count > 0 && (
          <p class="run-counter">{`${answer.counter}: ${HELD_WORDS[held].now}`}</p>
        )}
        {count >= PRESSES && <p class="run-counter">All ten are done.</p>}
      </div>
      <p class="form-foot">
        {listeningCount > 0 && (
          <button type="button" class="button main" disabled={!canMiss} onClick={miss}>
            {HELD_WORDS[held].missed}
          </button>
        )}
        {missedAfter.length > 0 && (
          <button type="button" class="button" onClick={takeBack}>
            Take the last miss back
          </button>
        )}
        {listeningCount === 0 && <ActionButton action={{ label: "Connect a receiver", href: "/receivers" }} />}
        {count > 0 && (
          <button type="button" class="button" onClick={begin}>
            Begin again
          </button>
        )}
      </p>
      <Facts answer={answer} />
      {chart && (
        <PressChartView
          chart={chart}
          heading={answer.trend?.says ?? "From three on the level says whether it fades"}
          next={answer.trend?.next}
          label={`${scale.split(":")[0]}, one dot for each`}
          isLookHere={answer.trend?.kind === "overloaded" || answer.trend?.kind === "fading"}
        />
      )}
      {chart && <p class="caption">{scale}</p>}
      <PressTable run={run} held={held} nominals={nominals} listeningCount={listeningCount} />
      {count > 0 && (
        <div class="form-foot">
          <CopyButton
            label="Copy the result"
            text={() => runText({ run, answer, held, nominals, scale, at: new Date(startedMs).toISOString() })}
          />
          <button type="button" class="button small" onClick={() => print()}>
            Print the result
          </button>
          <span class="caption">{`Begun ${timeShown(new Date(startedMs).toISOString())}. Indicative: no calibrated instrument took it.`}</span>
        </div>
      )}
    </section>
  );
}

function Facts({ answer: { carrier, keying, extra } }: { readonly answer: RunAnswer }): JSX.Element | null {
  if (!carrier) return null;
  return (
    <dl class="facts">
      <div>
        <dt>Frequency</dt>
        <dd>
          {carrier.strength === "look here" ? <Mark strength="look here" words={carrier.says} /> : carrier.says}
          <span class="caption">{carrier.basis}</span>
        </dd>
      </div>
      <div>
        <dt>Keying</dt>
        <dd>{keying}</dd>
      </div>
      {extra !== undefined && (
        <div>
          <dt>Besides</dt>
          <dd>{extra}</dd>
        </div>
      )}
    </dl>
  );
}

/** In the bay the eyes are on the transmitter: rising for what was heard, falling for what was not, or was too strong. */
function useSounds(good: readonly boolean[]): void {
  const { density } = useSettings();
  const before = useRef(good.length);
  useEffect(() => {
    if (good.length > before.current && density === "bay") play(good.at(-1) ? "new" : "already had");
    before.current = good.length;
  }, [good.length, density]);
}

function isFine({ answer }: RunAnswer): boolean {
  return answer === "yes" || answer === "waiting";
}
