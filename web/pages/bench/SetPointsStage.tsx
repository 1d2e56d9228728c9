import type { JSX } from "preact";
import { useRef, useState } from "preact/hooks";
import type { FillBody, LotBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { fineInBox } from "../../model/bench/lotDraft.ts";
import {
  gaugeShown,
  missingAt,
  nextSetPoint,
  numbersWords,
  openFill,
  setPointWords,
  silentOf,
} from "../../model/bench/lotWords.ts";
import { inLine, pressureShown, temperatureShown } from "../../model/quantities.ts";
import { clockWithSeconds } from "../../model/times.ts";
import { pressureTyped, temperatureInBox, temperatureTyped } from "../../model/typed.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";
import type { StageProps } from "./LotPage.tsx";
import { Listening } from "./RegisterStage.tsx";
import { GaugeLineSays } from "./SourcesPart.tsx";

type FillsProps = Pick<StageProps, "lot" | "here">;

/** The pot is filled, the gauge read once, and every specimen tells its own reading. */
export function SetPointsStage({ lot, here }: FillsProps): JSX.Element {
  const open = openFill(lot);
  return (
    <>
      <Listening lot={lot} here={here} />
      {open ? <Standing lot={lot} here={here} fill={open} /> : <NextFill lot={lot} />}
      <GaugeForm lot={lot} here={here} isOpen={open !== undefined} />
      <PointList lot={lot} />
      {lot.workedFills.length > 0 && <Fills lot={lot} here={here} />}
    </>
  );
}

/** What the pot is to be filled to now. */
function NextFill({ lot }: Pick<FillsProps, "lot">): JSX.Element {
  const { pressure } = useSettings();
  const at = nextSetPoint(lot);
  const point = at === undefined ? undefined : lot.setPoints[at];
  return (
    <div class="answer" role="status">
      {point === undefined ? (
        <>
          <p class="caption">Fills</p>
          <p class="answer-line">Every set point was filled to.</p>
          <p>A further fill counts as one more reading of the set point that it is nearest to.</p>
        </>
      ) : (
        <>
          <p class="caption">
            Fill the pot to, set point {(at ?? 0) + 1} of {lot.setPoints.length}
          </p>
          <p class="answer-big">{inLine(pressureShown(point.kpa, pressure))}</p>
          <p>
            {point.way === "up"
              ? "From below: do not go above it and back."
              : "From above: let it down, do not fill on."}{" "}
            It need not be exact: what counts is what the gauge shows.
          </p>
        </>
      )}
      <p class="caution">
        {lot.fixture.ratedKpa === null
          ? "Never above the pot's rating, a relief valve fitted, eye protection on."
          : `Never above the pot's ${inLine(pressureShown(lot.fixture.ratedKpa, pressure))}, a relief valve fitted, eye protection on.`}
      </p>
    </div>
  );
}

/** The pot as it stands now: whether it has settled, and who has not been read yet. */
function Standing({ lot, here, fill }: FillsProps & { readonly fill: FillBody }): JSX.Element {
  const { pressure } = useSettings();
  const point = fill.setPoint === null ? undefined : lot.setPoints[fill.setPoint];
  const missing = fill.setPoint === null ? [] : missingAt(lot.rows, fill.setPoint);
  const dumb = silentOf(lot.rows);
  const nextAt = nextSetPoint(lot);
  const next = nextAt === undefined ? undefined : lot.setPoints[nextAt];
  const end = () =>
    void here.save(
      (now) => ({ fills: now.fills.map((one) => (one.id === fill.id ? { ...one, endedAt: "now" } : one)) }),
      "The pot was let down",
    );
  return (
    <div class="answer" aria-label="In the pot now" role="status">
      <p class="caption">
        In the pot now
        {point === undefined
          ? ", no set point"
          : `, for set point ${(fill.setPoint ?? 0) + 1}: ${setPointWords(point, pressure)}`}
      </p>
      <p class="answer-big">{inLine(gaugeShown(fill.gaugeKpa, pressure))}</p>
      <p>{fill.says}</p>
      {point !== undefined &&
        (missing.length === 0 ? (
          <p class="answer-line">
            {dumb.length === 0 ? "Every specimen was read." : "Every specimen that answers was read."}
            {next === undefined ? "" : ` Go on to ${setPointWords(next, pressure)}.`}
          </p>
        ) : (
          <p class="answer-line">
            Still to be read: <span class="fixed-width">{numbersWords(missing)}</span>
          </p>
        ))}
      {point !== undefined && dumb.length > 0 && (
        <p>
          Not heard at all: <span class="fixed-width">{numbersWords(dumb)}</span>
        </p>
      )}
      {fill.from === "entry" && (
        <p>
          <button type="button" class="button" onClick={end}>
            Let it down now
          </button>{" "}
          <span class="caption">
            Or read the gauge at the next set point: that ends this one too. Those that were not read are told apart in
            the end, and stop nothing.
          </span>
        </p>
      )}
    </div>
  );
}

interface GaugeFormProps extends FillsProps {
  readonly isOpen: boolean;
}

/** What the gauge shows, typed once for all specimens. */
function GaugeForm({ lot, here, isOpen }: GaugeFormProps): JSX.Element {
  const { pressure, temperature } = useSettings();
  const [typed, setTyped] = useState({ gauge: "", temperature: "" });
  const [setPoint, setSetPoint] = useState("");
  const [wrong, setWrong] = useState<{ readonly gauge?: string; readonly temperature?: string }>({});
  const busy = useRef(false);
  const write = async () => {
    if (busy.current) return; // Enter twice is one fill
    const gauge = pressureTyped(typed.gauge, pressure, 0, 2000, "What the gauge shows");
    const warm = temperatureTyped(typed.temperature, temperature, -60, 200, "The temperature in the pot");
    const isEmpty = gauge.ok && gauge.value === null;
    setWrong({
      ...(gauge.ok ? (isEmpty ? { gauge: "Type what the gauge shows." } : {}) : { gauge: gauge.says }),
      ...(warm.ok ? {} : { temperature: warm.says }),
    });
    if (!gauge.ok || gauge.value === null || !warm.ok) return;
    busy.current = true;
    const read = {
      gaugeKpa: gauge.value,
      temperatureC: warm.value,
      setPoint: setPoint === "" ? null : Number(setPoint),
    };
    const taken = await here.fill(read, `Written down: the gauge shows ${inLine(gaugeShown(gauge.value, pressure))}`);
    busy.current = false;
    if (taken) setTyped({ gauge: "", temperature: "" });
  };
  const line = lot.gaugeLine;
  return (
    <form
      class="gauge-form"
      aria-label="What the gauge shows"
      onSubmit={(event) => {
        event.preventDefault();
        void write();
      }}
    >
      <div class="gauge-boxes">
        <div class="gauge-now">
          <TextField
            label={isOpen ? "At the next fill the gauge shows" : "The gauge shows"}
            unit={pressure}
            numeric
            value={typed.gauge}
            wrong={wrong.gauge}
            onInput={(gauge) => setTyped({ ...typed, gauge })}
          />
        </div>
        <TextField
          label="In the pot, if you have a thermometer"
          unit={temperature === "degC" ? "°C" : "°F"}
          numeric
          value={typed.temperature}
          wrong={wrong.temperature}
          onInput={(warm) => setTyped({ ...typed, temperature: warm })}
        />
        <PickOne
          label="Set point"
          value={setPoint}
          onChange={setSetPoint}
          options={[["", "the nearest that is open"], ...pointOptions(lot, pressure)]}
        />
      </div>
      <p class="form-foot">
        <button type="submit" class="button main">
          Write down the gauge
        </button>
        <span class="caption">Enter does the same. Once a fill, for all specimens.</span>
      </p>
      {line !== null && (
        <p class="form-foot">
          <GaugeLineSays line={line} />
          {line.lastKpa !== null && (
            <button
              type="button"
              class="button small"
              onClick={() => setTyped({ ...typed, gauge: fineInBox(line.lastKpa, pressure) })}
            >
              Take its figure
            </button>
          )}
        </p>
      )}
    </form>
  );
}

function pointOptions({ setPoints }: Pick<LotBody, "setPoints">, unit: Parameters<typeof setPointWords>[1]) {
  return setPoints.map((point, i) => [String(i), `${i + 1}: ${setPointWords(point, unit)}`] as const);
}

/** All set points, with what came of each. */
function PointList({ lot }: Pick<FillsProps, "lot">): JSX.Element {
  const { pressure } = useSettings();
  const next = nextSetPoint(lot);
  return (
    <section aria-labelledby="lot-point-list">
      <h3 id="lot-point-list">Set points</h3>
      <ol class="list point-list">
        {lot.setPoints.map((point, i) => {
          const fills = lot.workedFills.filter(({ setPoint }) => setPoint === i);
          const missing = missingAt(lot.rows, i);
          return (
            <li key={`${i} ${point.kpa}`} class={i === next ? "point-next" : ""}>
              <span class="point-name">{setPointWords(point, pressure)}</span>
              <span>
                {fills.length === 0
                  ? i === next
                    ? "next"
                    : "not filled yet"
                  : missing.length === 0
                    ? "every specimen that answers was read"
                    : `not read yet: ${numbersWords(missing)}`}
              </span>
            </li>
          );
        })}
      </ol>
    </section>
  );
}

function Fills({ lot, here }: FillsProps): JSX.Element {
  const { pressure, temperature } = useSettings();
  return (
    <section aria-labelledby="lot-fills">
      <h3 id="lot-fills">What was filled</h3>
      <Table
        caption="Every fill; what the gauge showed can be corrected afterwards"
        rows={lot.workedFills.toSorted((a, b) => (a.at < b.at ? -1 : 1))}
        keyOf={({ id }) => id}
        empty={{ says: "Nothing was filled yet.", action: { label: "Set up", href: "?at=set-up" } }}
        columns={[
          { name: "At", cell: ({ at }) => clockWithSeconds(at) },
          {
            name: "Set point",
            cell: ({ setPoint }) => {
              const point = setPoint === null ? undefined : lot.setPoints[setPoint];
              return point ? setPointWords(point, pressure) : <Mark strength="look here" words="none near" />;
            },
          },
          {
            name: "Gauge",
            figures: true,
            cell: ({ gaugeKpa, gaugeMovedKpa }) => (
              <>
                <span class="whole">{inLine(gaugeShown(gaugeKpa, pressure))}</span>
                {gaugeMovedKpa !== null && gaugeMovedKpa > 0 && (
                  <span class="caption">moved by {inLine(gaugeShown(gaugeMovedKpa, pressure))}</span>
                )}
              </>
            ),
          },
          {
            name: "In the pot",
            figures: true,
            cell: ({ temperatureC }) =>
              temperatureC === null ? "–" : inLine(temperatureShown(temperatureC, temperature)),
          },
          {
            name: "Telegrams",
            cell: ({ used, leftOut, says }) => (
              <>
                {used} used, {leftOut} left out<span class="caption">{says}</span>
              </>
            ),
          },
          { name: "", cell: (fill) => <CorrectFill key={fill.id} lot={lot} here={here} fill={fill} /> },
        ]}
      />
    </section>
  );
}

/** Another figure for a fill that was typed, or none at all. */
function CorrectFill({ lot, here, fill }: FillsProps & { readonly fill: FillBody }): JSX.Element {
  const { pressure, temperature } = useSettings();
  const [form, setForm] = useState<{ gauge: string; temperature: string; setPoint: string }>();
  const [wrong, setWrong] = useState<{ readonly gauge?: string; readonly temperature?: string }>({});
  if (fill.from === "log") return <>from the log</>;
  if (form === undefined) {
    const entry = lot.fills.find(({ id }) => id === fill.id);
    return (
      <button
        type="button"
        class="button small"
        onClick={() =>
          setForm({
            gauge: fineInBox(fill.gaugeKpa, pressure),
            temperature: temperatureInBox(fill.temperatureC, temperature),
            setPoint: String(entry?.setPoint ?? ""),
          })
        }
      >
        Correct this fill<span class="heard-only"> of {clockWithSeconds(fill.at)}</span>
      </button>
    );
  }
  const write = async () => {
    const gauge = pressureTyped(form.gauge, pressure, 0, 2000, "What the gauge shows");
    const warm = temperatureTyped(form.temperature, temperature, -60, 200, "The temperature in the pot");
    setWrong({
      ...(gauge.ok ? (gauge.value === null ? { gauge: "Type what the gauge showed." } : {}) : { gauge: gauge.says }),
      ...(warm.ok ? {} : { temperature: warm.says }),
    });
    if (!gauge.ok || gauge.value === null || !warm.ok) return;
    const said = {
      gaugeKpa: gauge.value,
      temperatureC: warm.value,
      setPoint: form.setPoint === "" ? null : Number(form.setPoint),
    };
    const outcome = await here.save(
      ({ fills }) => ({ fills: fills.map((one) => (one.id === fill.id ? { ...one, ...said } : one)) }),
      `The fill of ${clockWithSeconds(fill.at)} is corrected`,
    );
    if (outcome === "written") setForm(undefined);
  };
  return (
    <form
      class="inline-form figure-form"
      aria-label={`Fill of ${clockWithSeconds(fill.at)}`}
      onSubmit={(event) => {
        event.preventDefault();
        void write();
      }}
      onKeyDown={(event) => event.key === "Escape" && setForm(undefined)}
    >
      <TextField
        label="Gauge"
        unit={pressure}
        numeric
        value={form.gauge}
        wrong={wrong.gauge}
        onInput={(gauge) => setForm({ ...form, gauge })}
      />
      <TextField
        label="In the pot"
        unit={temperature === "degC" ? "°C" : "°F"}
        numeric
        value={form.temperature}
        wrong={wrong.temperature}
        onInput={(warm) => setForm({ ...form, temperature: warm })}
      />
      <PickOne
        label="Set point"
        value={form.setPoint}
        onChange={(setPoint) => setForm({ ...form, setPoint })}
        options={[["", "the nearest"], ...pointOptions(lot, pressure)]}
      />
      <button type="submit" class="button small main">
        Write it down
      </button>
      <button
        type="button"
        class="button small"
        onClick={() =>
          void here.save(
            ({ fills }) => ({ fills: fills.filter(({ id }) => id !== fill.id) }),
            `The fill of ${clockWithSeconds(fill.at)} does not count`,
          )
        }
      >
        It does not count
      </button>
      <button type="button" class="button small" onClick={() => setForm(undefined)}>
        Leave it
      </button>
    </form>
  );
}
