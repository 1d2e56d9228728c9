import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import { linksOf } from "../../../decoders/radio/link.ts";
import { useAction } from "../../actionsHere.ts";
import type { Problem } from "../../api.ts";
import { tryBands } from "../../calls/bands.ts";
import { bandCurves, halfDistance, isSameBut, type MeasuredPoint } from "../../model/class/bandCharts.ts";
import { BAND_CAUTION } from "../../model/class/bandTexts.ts";
import { FIRST_SETTINGS, impossible } from "../../model/class/twoBands.ts";
import { LevelChartView, SuccessChartView } from "../../views/class/BandCharts.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { BandsContext } from "../../views/recording/bands.ts";
import { BandColumns } from "./BandColumns.tsx";
import { BandSettings } from "./BandSettings.tsx";
import { BandTeaching } from "./BandTeaching.tsx";
import { type BandRun, BandTries } from "./BandTries.tsx";
import { useBands } from "./useBands.ts";
import "../recordings/recordings.css";
import "../bench/bench.css";
import "./bands.css";

/** Runs that stay on the page: with more the chart says nothing. */
const MOST_RUNS = 12;
const TELEGRAMS = 20;

/** The same telegram at 315.00 and 433.92 MHz: figures that follow what is set, and the decoder beside them. */
export function TwoBandsPage(): JSX.Element {
  const here = useBands();
  const { settings, change } = here;
  const [hidden, setHidden] = useState<readonly string[]>([]);
  const bands = useMemo(() => ({ hidden, setHidden }), [hidden]);
  const [telegrams, setTelegrams] = useState(TELEGRAMS);
  const [running, setRunning] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const [runs, setRuns] = useState<readonly BandRun[]>([]);
  const links = useMemo(() => linksOf(settings), [settings]);
  const curves = useMemo(() => bandCurves(settings), [settings]);
  const canRun = impossible(settings) === undefined;
  const last = runs.at(-1);
  const measured = runs
    .filter((run) => isSameBut(settings, run.settings))
    .flatMap((run): MeasuredPoint[] => run.bands.map((band) => ({ distanceM: run.settings.distanceM, band })));
  const half = halfDistance(settings, "433");

  const run = async () => {
    setRunning(true);
    setProblem(undefined);
    const answer = await tryBands(settings, telegrams);
    setRunning(false);
    if (answer.ok) setRuns((before) => [...before, { settings, bands: answer.value.bands }].slice(-MOST_RUNS));
    else setProblem(answer.problem);
  };
  const goHalf = () => half !== undefined && change({ distanceM: Number(half.toPrecision(4)) });
  const reset = () => change(FIRST_SETTINGS);
  useAction("bands.run", () => void run(), !running && canRun);
  useAction("bands.half", goHalf, half !== undefined);
  useAction("bands.reset", reset);

  return (
    <BandsContext.Provider value={bands}>
      <Page
        title="Two bands, side by side"
        lead="The same telegram at 315.00 and at 433.92 MHz: what the band changes, and what it does not. Move anything; all figures follow."
      >
        <div class="two-bands">
          <p class="band-caution">
            <Mark strength="look here" /> {BAND_CAUTION}
          </p>
          <BandSettings settings={settings} change={change} />
          <p class="form-foot">
            <button type="button" class="button" disabled={half === undefined} onClick={goHalf}>
              Go to where half come through
            </button>
            <button type="button" class="button" onClick={reset}>
              All as it came
            </button>
          </p>
          <BandColumns links={links} settings={settings} />
          <LevelChartView curves={curves} settings={settings} />
          <SuccessChartView curves={curves} settings={settings} measured={measured} />
          <BandTries
            telegrams={telegrams}
            onTelegrams={setTelegrams}
            onRun={() => void run()}
            running={running}
            canRun={canRun}
            problem={problem}
            last={last}
            isCurrent={last !== undefined && last.settings === settings}
          />
          <BandTeaching link={links[1]} settings={settings} />
        </div>
      </Page>
    </BandsContext.Provider>
  );
}
