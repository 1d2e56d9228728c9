import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Decided } from "../../../decoders/workshop/worksheet.ts";
import type { Problem } from "../../api.ts";
import type { LayoutEntry } from "../../calls/layouts.ts";
import { putOnShelf } from "../../calls/worksheets.ts";
import { useSettings } from "../../device.ts";
import { counted, figure, inLine, pressureShown, temperatureShown } from "../../model/quantities.ts";
import { TextField } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";
import type { FramesProps } from "./LineUpStation.tsx";

export function ProveStation({ here, sheet, worked, frames }: FramesProps): JSX.Element {
  const { tested, doubts } = frames.proof;
  const settings = useSettings();
  const firstSeconds = Math.min(...sheet.worksheet.bursts.map(({ atSeconds }) => atSeconds));
  const recordingOf = new Map(sheet.worksheet.bursts.map(({ id, recording }) => [id, recording]));
  const shown = (quantity: string, value: number) =>
    inLine(
      quantity === "pressure" ? pressureShown(value, settings.pressure) : temperatureShown(value, settings.temperature),
    );
  return (
    <>
      {doubts.length > 0 && (
        <div class="doubts">
          <p>
            <Mark strength="look here" words="It is not proved yet" />
          </p>
          <ul class="list" aria-label="What speaks against it">
            {doubts.map((doubt) => (
              <li key={doubt}>{doubt}</li>
            ))}
          </ul>
        </div>
      )}
      <Table
        caption="Telegrams kept aside from the beginning: no field, check or identity was fitted to them"
        rows={tested}
        keyOf={({ ids }) => ids[0] ?? ""}
        empty={{ says: "No telegram was kept aside.", action: { label: "Gather more bursts", href: "?at=gather" } }}
        columns={[
          {
            name: "Telegram",
            cell: ({ ids, atSeconds }) => {
              const recording = recordingOf.get(ids[0] ?? "");
              const words = `${figure(atSeconds - firstSeconds, 3)} s`;
              return recording ? (
                <a href={`/recordings/${recording.hash}?sel=frame.${recording.index}`}>{words}</a>
              ) : (
                words
              );
            },
          },
          {
            name: "Read",
            cell: ({ verified }) =>
              verified ? "hit: read, its check agrees" : <Mark strength="look here" words="miss" />,
          },
          {
            name: "It says, and what was measured",
            cell: ({ figures }) =>
              figures
                .map(({ quantity, measured, said }) => `${shown(quantity, said)} (${shown(quantity, measured)})`)
                .join(", "),
          },
        ]}
      />
      <ShelfForm here={here} sheet={sheet} worked={worked} frames={frames} />
    </>
  );
}

type Naming = Decided["naming"];

/** What the boxes are called here. */
const BOXES: Readonly<Record<string, string>> = {
  "naming.id": "Id",
  "naming.title": "Title",
  "naming.source": "Source",
  proof: "Telegrams kept aside that it reads",
};

function inWords(problem: Problem): Problem {
  if (!problem.complaints?.some(({ path }) => path in BOXES)) return problem;
  const complaints = problem.complaints.map((one) => ({ ...one, path: BOXES[one.path] ?? one.path }));
  return { ...problem, title: "Something is missing", complaints, nextSteps: ["Fill it in, then press again."] };
}

/** Id, title, source; and the way onto the shelf. */
function ShelfForm({ here, sheet, frames }: FramesProps): JSX.Element {
  const { naming } = sheet.worksheet.now;
  // What is typed and not yet written down; the rest is as the worksheet has it, whoever wrote it.
  const [typed, setTyped] = useState<Partial<Naming>>({});
  const form: Naming = { ...naming, ...typed };
  const [problem, setProblem] = useState<Problem>();
  const [added, setAdded] = useState<LayoutEntry>();
  const [busy, setBusy] = useState(false);
  const change = (part: Partial<Naming>) => setTyped((before) => ({ ...before, ...part }));
  const isChanged = JSON.stringify(form) !== JSON.stringify(naming);

  const isId = /^[a-z0-9]+(-[a-z0-9]+)*$/.test(form.id);
  const keep = async () => {
    if (!isChanged) return;
    const done = await here.decide(`Called it ${form.title || form.id || "nothing yet"}`, { naming: form });
    // What was typed on meanwhile stays.
    if (done)
      setTyped((now) =>
        Object.fromEntries(Object.entries(now).filter(([key, value]) => form[key as keyof Naming] !== value)),
      );
  };
  const put = async () => {
    setProblem(undefined);
    setAdded(undefined);
    if (form.id !== "" && !isId) return;
    setBusy(true);
    await keep();
    // After whatever a box that was left just now wrote.
    await here.run(async (stored) => {
      const answer = await putOnShelf(stored.id, stored.revision);
      if (answer.ok) setAdded(answer.value);
      else setProblem(inWords(answer.problem));
      return { ok: true, value: stored };
    });
    setBusy(false);
  };

  return (
    <form
      class="put-on-shelf"
      aria-label="Put the layout on the shelf"
      onSubmit={(event) => {
        event.preventDefault();
        void put();
      }}
    >
      <h3>Put the layout on the shelf</h3>
      <p class="caption">
        Needs a name, a source, and three telegrams kept aside that it reads, with a check that agrees: they become its
        test frames. What speaks against it stands in its notes.
        {frames.skippedBits > 0 &&
          ` The layout's frame begins behind ${counted(frames.skippedBits, "constant bit")}: its bit 0 is bit ${frames.skippedBits} here.`}
      </p>
      <TextField
        label="Title, a line for people"
        value={form.title}
        maxLength={200}
        onLeave={() => void keep()}
        onInput={(title) => {
          // Until somebody types an id of their own it follows the title.
          const follows = form.id === "" || form.id === idFrom(form.title);
          change({ title, ...(follows ? { id: idFrom(title) } : {}) });
        }}
      />
      <TextField
        label="Id: small letters, digits and hyphens"
        value={form.id}
        fixedWidth
        maxLength={64}
        onLeave={() => void keep()}
        wrong={form.id === "" || isId ? undefined : `Such as ${idFrom(form.id) || "quay-trolley"}.`}
        onInput={(id) => change({ id })}
      />
      <TextField
        label="Source: who measured it, on what, when"
        value={form.source}
        maxLength={300}
        onLeave={() => void keep()}
        onInput={(source) => change({ source })}
      />
      <TextField label="Remarks" value={form.notes} lines={3} maxLength={3000} onInput={(notes) => change({ notes })} />
      {frames.complaints.length > 0 && (
        <ul class="complaints">
          {frames.complaints.map(({ path, found, allowed }) => (
            <li key={path}>
              <code>{path}</code>: found <code>{found}</code>, allowed {allowed}
            </li>
          ))}
        </ul>
      )}
      {problem && <ProblemNote problem={problem} />}
      <p role="status">
        {added && (
          <>
            On the shelf:{" "}
            <a href={`/layouts/${added.id}@${added.version}`}>{`${added.id}, version ${added.version}`}</a>, with{" "}
            {added.tests.length} test frames. Recordings with bursts that nothing read are analysed again.
          </>
        )}
      </p>
      <p class="form-foot">
        <button type="submit" class="button main" disabled={busy}>
          Put on the shelf
        </button>
      </p>
    </form>
  );
}

function idFrom(title: string): string {
  return title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 64);
}
