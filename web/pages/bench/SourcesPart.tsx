import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { addLotGaugeLog, dropGaugeLine, readGaugeLine, removeLotGaugeLog } from "../../calls/lots.ts";
import { receivers } from "../../calls/receivers.ts";
import { recordings } from "../../calls/recordings.ts";
import { useSettings } from "../../device.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { gaugeShown } from "../../model/bench/lotWords.ts";
import { counted, inLine } from "../../model/quantities.ts";
import { stateWords } from "../../model/recording/listWords.ts";
import { timeShown } from "../../model/times.ts";
import { numberTyped } from "../../model/typed.ts";
import { ChooseRecordings } from "../../views/ChooseRecordings.tsx";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { GaugeLogFile } from "../../views/GaugeLogFile.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ReceiverChoice } from "../../views/ReceiverChoice.tsx";
import { SerialBoxes } from "../../views/SerialBoxes.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import type { StageProps } from "./LotPage.tsx";

type SourcesProps = Pick<StageProps, "lot" | "here">;

/** Above this a filter helps. */
const MANY = 8;

/** Where telegrams and the gauge's readings come from. */
export function SourcesPart(given: SourcesProps): JSX.Element {
  const { lot, here } = given;
  const all = useLoaded("receivers", receivers);
  useLiveReload(["receiver", "snapshot"], all.reload);
  return (
    <section aria-labelledby="lot-sources">
      <h3 id="lot-sources">Listens to</h3>
      <Waiting loaded={all} what="the receivers">
        {(heard) => (
          <ReceiverChoice
            all={heard}
            chosen={lot.receiverIds}
            what="lot"
            busy={false}
            onChange={(receiverIds, says) => void here.save({ receiverIds }, says)}
          />
        )}
      </Waiting>
      <details open={lot.recordingHashes.length > 0}>
        <summary>Recordings ({lot.recordingHashes.length})</summary>
        <LotRecordings {...given} />
      </details>
      <details open={lot.gaugeLogs.length > 0 || lot.gaugeLine !== null}>
        <summary>A gauge that writes by itself</summary>
        <p>
          Without one, what the gauge shows is typed once for each fill. A log is a table of time, pressure and
          temperature.
        </p>
        <GaugeLogFile onText={(name, text) => here.run(() => addLotGaugeLog(lot.id, name, text))} />
        {lot.gaugeLogs.length > 0 && (
          <ul class="list" aria-label="Logs of the gauge">
            {lot.gaugeLogs.map(({ name, readings, from, to }) => (
              <li key={name} class="change">
                <span>
                  {name}: {counted(readings, "reading")}, {timeShown(from)} to {timeShown(to)}
                </span>
                <button
                  type="button"
                  class="button small"
                  onClick={() => void here.run(() => removeLotGaugeLog(lot.id, name))}
                >
                  Take out the log<span class="heard-only"> {name}</span>
                </button>
              </li>
            ))}
          </ul>
        )}
        <SerialGauge {...given} />
      </details>
    </section>
  );
}

function LotRecordings({ lot, here }: SourcesProps): JSX.Element {
  const loaded = useLoaded("recordings", recordings);
  useLiveReload(["recording", "snapshot"], loaded.reload);
  const [like, setLike] = useState("");
  return (
    <Waiting loaded={loaded} what="the recordings">
      {(all) => {
        const isChosen = ({ hash }: { readonly hash: string }) => lot.recordingHashes.includes(hash);
        const inOrder = [...all.filter(isChosen), ...all.filter((one) => !isChosen(one))];
        const shown = inOrder.filter(
          ({ name, hash }) =>
            lot.recordingHashes.includes(hash) || name.toLowerCase().includes(like.trim().toLowerCase()),
        );
        if (all.length === 0) {
          return (
            <p>
              No recording is here. <a href="/recordings">Add one under Recordings</a>: once it is analysed it can be
              ticked here.
            </p>
          );
        }
        return (
          <>
            {all.length > MANY && <TextField label="Names that hold" value={like} onInput={setLike} />}
            <ChooseRecordings
              legend="Recordings of this lot"
              rows={shown.map((one) => ({ hash: one.hash, words: `${one.name}: ${stateWords(one)}` }))}
              chosen={lot.recordingHashes}
              onChange={(hashes) =>
                void here.save({ recordingHashes: [...hashes] }, `The lot has ${counted(hashes.length, "recording")}`)
              }
            />
          </>
        );
      }}
    </Waiting>
  );
}

/** A gauge on a serial port: connected, or to be connected. */
function SerialGauge({ lot, here }: SourcesProps): JSX.Element {
  const [isOpen, setOpen] = useState(false);
  if (lot.gaugeLine !== null) {
    return (
      <div class="change">
        <GaugeLineSays line={lot.gaugeLine} />
        <button type="button" class="button small" onClick={() => void here.run(() => dropGaugeLine(lot.id))}>
          Let the gauge go
        </button>
      </div>
    );
  }
  return isOpen ? (
    <GaugeLineForm lot={lot} here={here} onClose={() => setOpen(false)} />
  ) : (
    <p>
      <button type="button" class="button" onClick={() => setOpen(true)}>
        Read a gauge on a serial port
      </button>
    </p>
  );
}

/** What a gauge on a serial port says now. */
export function GaugeLineSays({ line }: { readonly line: NonNullable<LotBody["gaugeLine"]> }): JSX.Element {
  const { pressure } = useSettings();
  const last = line.lastKpa === null ? "" : ` Last: ${inLine(gaugeShown(line.lastKpa, pressure))}.`;
  return (
    <span role="status">
      {line.state === "away" && <Mark strength="look here" words="The gauge is away" />} {line.says}
      {last}
    </span>
  );
}

const UNITS = [
  ["kPa", "kPa"],
  ["bar", "bar"],
  ["psi", "psi"],
] as const;

function GaugeLineForm({ lot, here, onClose }: SourcesProps & { readonly onClose: () => void }): JSX.Element {
  const [draft, setDraft] = useState({ path: "", baudRate: "9600" });
  const [unit, setUnit] = useState<"kPa" | "bar" | "psi">("kPa");
  const [tried, setTried] = useState(false);
  const rate = numberTyped(draft.baudRate, 50, 4_000_000, "The rate");
  const isThere = draft.path.trim() !== "";
  const box = (key: "path" | "baudRate") => ({
    value: draft[key],
    wrong: !tried
      ? undefined
      : key === "path"
        ? isThere
          ? undefined
          : "Choose a port above, or type its path."
        : rate.ok
          ? undefined
          : rate.says,
    onInput: (text: string) => setDraft((before) => ({ ...before, [key]: text })),
  });
  const add = async () => {
    setTried(true);
    if (!isThere || !rate.ok || rate.value === null) return;
    const line = { path: draft.path.trim(), baudRate: rate.value, unit };
    if (await here.run(() => readGaugeLine(lot.id, line))) onClose();
  };
  return (
    <fieldset class="inner-form" onKeyDown={(event) => event.key === "Escape" && onClose()}>
      <legend>A gauge on a serial port</legend>
      <SerialBoxes box={box} device="gauge" />
      <PickOne label="Unit of figures that name none" value={unit} options={UNITS} onChange={setUnit} />
      <p class="form-foot">
        <button type="button" class="button main" onClick={() => void add()}>
          Read this gauge
        </button>
        <button type="button" class="button" onClick={onClose}>
          Leave it
        </button>
      </p>
    </fieldset>
  );
}
