import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { type SheetFigure, type SheetReading, tellFigure } from "../../../decoders/workshop/worksheet.ts";
import { bringGaugeLog, stepWorksheet } from "../../calls/worksheets.ts";
import { useSettings } from "../../device.ts";
import { unitAfter } from "../../model/layoutWords.ts";
import { counted, figure, inLine, pressureShown, temperatureShown } from "../../model/quantities.ts";
import type { Settings } from "../../model/settings.ts";
import { timeShown } from "../../model/times.ts";
import { pressureInBox, pressureTyped, temperatureInBox, temperatureTyped } from "../../model/typed.ts";
import { TextField } from "../../views/Fields.tsx";
import { GaugeLogFile } from "../../views/GaugeLogFile.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";
import { type FramesProps, RasterOf } from "./LineUpStation.tsx";
import type { SheetHere } from "./useWorksheet.ts";

const MOST_SHOWN = 40;

export function MovesStation({ here, sheet, frames }: FramesProps): JSX.Element {
  const { bits, senders, telegrams } = frames;
  const { figures } = sheet.worksheet.now;
  const named = frames.fields.map(({ field }) => field);
  const [shown, setShown] = useState(MOST_SHOWN);
  // Those kept aside are there to be measured as well; what they say is not shown before the proof.
  const rows = [...telegrams, ...frames.aside.map((one) => ({ ...one, sender: null, bits: undefined }))].toSorted(
    (a, b) => a.atSeconds - b.atSeconds,
  );
  const firstSeconds = Math.min(...rows.map(({ atSeconds }) => atSeconds));
  const settings = useSettings();
  return (
    <>
      <RasterOf frames={frames} />
      <GaugeLogs here={here} sheet={sheet} />
      {sheet.worksheet.now.logs.length > 0 && rows.every(({ kPa, degC }) => kPa === null && degC === null) && (
        <p>
          <Mark strength="look here" words="No reading falls on a telegram" /> The log and the recordings are of other
          days or clocks: the telegrams begin at {momentWords(firstSeconds)}.
        </p>
      )}
      {senders && (
        <section aria-labelledby="per-sensor">
          <h3 id="per-sensor">By sensor</h3>
          <Table
            caption="A gauge held to its wheel, or one pot for all: its figure can be told for all telegrams of a sensor"
            rows={senders.rows.map((row, index) => ({ ...row, index }))}
            keyOf={({ identity, index }) => `${identity} ${index}`}
            empty={{ says: "No sensor is told apart.", action: { label: "Gather more bursts", href: "?at=gather" } }}
            columns={[
              { name: "Its bits, in hex", cell: ({ identity }) => <code>{identity}</code> },
              { name: "Telegrams", figures: true, cell: (row) => String(row.telegrams) },
              {
                name: "From, to",
                cell: ({ fromSeconds, toSeconds }) =>
                  `${figure(fromSeconds - firstSeconds, 1)} s to ${figure(toSeconds - firstSeconds, 1)} s`,
              },
              {
                name: "Fields",
                cell: ({ values }) =>
                  values
                    .map(({ name, least, most }) => {
                      const unit = unitAfter(named, name);
                      return least === most ? `${name} ${least}${unit}` : `${name} ${least} to ${most}${unit}`;
                    })
                    .join(", "),
              },
              {
                name: "Gauge and thermometer",
                cell: ({ bursts, identity }) => (
                  <FigureForm here={here} of={bursts} what={`sensor ${identity}`} told={toldOf(figures, bursts)} />
                ),
              },
            ]}
          />
        </section>
      )}
      <section aria-labelledby="per-time">
        <h3 id="per-time">By time</h3>
        <Table
          caption={`${counted(frames.aside.length, "telegram")} of them kept aside: what they say is shown at the proof`}
          rows={rows.slice(0, shown)}
          keyOf={({ ids }) => ids[0] ?? ""}
          empty={{ says: "No telegram.", action: { label: "Gather more bursts", href: "?at=gather" } }}
          columns={[
            { name: "At", figures: true, cell: ({ atSeconds }) => `${figure(atSeconds - firstSeconds, 3)} s` },
            {
              name: "Sensor",
              cell: ({ sender }) => <code>{sender === null ? "" : (senders?.rows[sender]?.identity ?? "")}</code>,
            },
            { name: "Copies", figures: true, cell: ({ ids }) => String(ids.length) },
            {
              name: "Bits, in hex",
              cell: ({ bits: hex }) => (hex === undefined ? "kept aside" : <code class="bits">{hex}</code>),
            },
            {
              name: "Measured",
              cell: (row) => measuredWords(row, settings),
            },
            {
              name: "Gauge and thermometer",
              cell: ({ ids }) => (
                <FigureForm here={here} of={ids} what={`telegram ${ids[0]}`} told={toldOf(figures, ids)} />
              ),
            },
          ]}
        />
        {rows.length > shown && (
          <p>
            <button type="button" class="button" onClick={() => setShown(shown + 10 * MOST_SHOWN)}>
              Show more telegrams
            </button>{" "}
            <span class="caption">{counted(rows.length - shown, "telegram")} not shown.</span>
          </p>
        )}
      </section>
      <details>
        <summary>Every bit in figures</summary>
        <Table
          caption="Over the telegrams that are not kept aside"
          rows={bits.map((bit, at) => ({ ...bit, at }))}
          keyOf={({ at }) => String(at)}
          empty={{ says: "No bit.", action: { label: "Gather more bursts", href: "?at=gather" } }}
          columns={[
            { name: "Bit", figures: true, cell: ({ at }) => String(at) },
            { name: "Like", cell: ({ likeness }) => likeness },
            { name: "Ones", figures: true, cell: ({ ones }) => `${figure(100 * ones, 0)} %` },
            { name: "Entropy, bits", figures: true, cell: ({ entropy }) => figure(entropy, 2) },
            { name: "Changes", figures: true, cell: ({ flips }) => `${figure(100 * flips, 0)} %` },
            { name: "Tells the sensor, bits", figures: true, cell: ({ tellsSender }) => figure(tellsSender, 2) },
            {
              name: "Told most by",
              figures: true,
              cell: ({ companion, companionBits }) =>
                companion === null ? "none" : `bit ${companion}, ${figure(companionBits, 2)}`,
            },
          ]}
        />
      </details>
    </>
  );
}

/** Files of a gauge or thermometer. */
function GaugeLogs({ here, sheet }: Pick<FramesProps, "here" | "sheet">): JSX.Element {
  const { logs, now } = sheet.worksheet;
  return (
    <section aria-labelledby="gauge">
      <h3 id="gauge">Gauge and thermometer</h3>
      <p>
        Bits become figures where somebody read a gauge. A log is a table of time, kPa and °C; or type what you read
        below, beside the sensor or the telegram.
      </p>
      <GaugeLogFile
        onText={(name, text) => here.run((stored) => bringGaugeLog(stored.id, stored.revision, name, text))}
      />
      {now.logs.length > 0 && (
        <ul class="list" aria-label="Logs">
          {logs
            .filter(({ id }) => now.logs.includes(id))
            .map(({ id, name, readings }) => (
              <li key={id}>
                {name}: {counted(readings.length, "reading")}
                {spanWords(readings)}.{" "}
                <button
                  type="button"
                  class="button small"
                  disabled={here.busy}
                  onClick={() =>
                    here.decide(`Took out the log ${name}`, { logs: now.logs.filter((one) => one !== id) })
                  }
                >
                  Take out the log
                </button>
              </li>
            ))}
        </ul>
      )}
    </section>
  );
}

/** From when to when, and from what to what, so that somebody sees whether it was read as it was meant. */
function spanWords(readings: readonly SheetReading[]): string {
  const of = (values: readonly (number | null)[]) => {
    const all = values.filter((value) => value !== null);
    return all.length === 0 ? undefined : ([Math.min(...all), Math.max(...all)] as const);
  };
  const kPa = of(readings.map((one) => one.kPa));
  const degC = of(readings.map((one) => one.degC));
  const times = of(readings.map((one) => one.atSeconds));
  return [
    kPa && `${figure(kPa[0], 0)} to ${figure(kPa[1], 0)} kPa`,
    degC && `${figure(degC[0], 0)} to ${figure(degC[1], 0)} °C`,
    times && `${momentWords(times[0])} to ${momentWords(times[1])}`,
  ]
    .map((words) => (words ? `, ${words}` : ""))
    .join("");
}

function momentWords(atSeconds: number): string {
  return atSeconds < 1e8 ? `${figure(atSeconds, 1)} s` : timeShown(new Date(1000 * atSeconds).toISOString());
}

function measuredWords({ kPa, degC }: Pick<SheetReading, "kPa" | "degC">, settings: Settings): string {
  return [
    ...(kPa === null ? [] : [inLine(pressureShown(kPa, settings.pressure))]),
    ...(degC === null ? [] : [inLine(temperatureShown(degC, settings.temperature))]),
  ].join(", ");
}

function toldOf(figures: readonly SheetFigure[], bursts: readonly string[]): SheetFigure | undefined {
  return figures.find(({ of }) => of.some((id) => bursts.includes(id)));
}

interface FigureFormProps {
  readonly here: SheetHere;
  readonly of: readonly string[];
  readonly what: string;
  readonly told?: SheetFigure | undefined;
}

/** What was read off gauge and thermometer; opened by a button, so that a long table stays quick and quiet. */
function FigureForm({ here, of, what, told }: FigureFormProps): JSX.Element {
  const settings = useSettings();
  const [form, setForm] = useState<{ readonly pressure: string; readonly temperature: string }>();
  const [wrong, setWrong] = useState<{ readonly pressure?: string; readonly temperature?: string }>({});
  if (!form) {
    const says = told ? measuredWords(told, settings) : "";
    return (
      <>
        {says !== "" && `${says} `}
        <button
          type="button"
          class="button small"
          disabled={here.busy}
          onClick={() =>
            setForm({
              pressure: pressureInBox(told?.kPa ?? null, settings.pressure),
              temperature: temperatureInBox(told?.degC ?? null, settings.temperature),
            })
          }
        >
          {says !== "" ? "Change it" : "Tell what was read"}
        </button>
      </>
    );
  }
  const write = async () => {
    const pressure = pressureTyped(form.pressure, settings.pressure, 0, 2000, "The pressure");
    const temperature = temperatureTyped(form.temperature, settings.temperature, -60, 200, "The temperature");
    setWrong({
      ...(pressure.ok ? {} : { pressure: pressure.says }),
      ...(temperature.ok ? {} : { temperature: temperature.says }),
    });
    if (!pressure.ok || !temperature.ok) return;
    const figureTold = { of, kPa: pressure.value, degC: temperature.value };
    const done = await here.run((stored) => {
      const says = `Told what was read for ${what}`;
      const { figures } = tellFigure(stored.worksheet, figureTold, says).now;
      return stepWorksheet(stored, { says, change: { figures } });
    });
    if (done) setForm(undefined);
  };
  return (
    <form
      class="inline-form figure-form"
      aria-label={`What was read for ${what}`}
      onSubmit={(event) => {
        event.preventDefault();
        void write();
      }}
      onKeyDown={(event) => event.key === "Escape" && setForm(undefined)}
    >
      <TextField
        label="Pressure"
        unit={settings.pressure}
        value={form.pressure}
        wrong={wrong.pressure}
        numeric
        onInput={(pressure) => setForm({ ...form, pressure })}
      />
      <TextField
        label="Temperature"
        unit={settings.temperature === "degC" ? "°C" : "°F"}
        value={form.temperature}
        wrong={wrong.temperature}
        numeric
        onInput={(temperature) => setForm({ ...form, temperature })}
      />
      <button type="submit" class="button small main" disabled={here.busy}>
        Write it down
      </button>
      <button type="button" class="button small" onClick={() => setForm(undefined)}>
        Leave it
      </button>
    </form>
  );
}
