import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Problem } from "../../api.ts";
import { addWorksheet, worksheets } from "../../calls/worksheets.ts";
import { useLoaded } from "../../loaded.ts";
import { jsonFromText } from "../../model/jsonText.ts";
import { counted } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { go } from "../../router.ts";
import { List } from "../../views/List.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";

/** Worksheets of the workshop, and the ways to begin one. */
export function InTheWorkshop(): JSX.Element {
  const loaded = useLoaded("worksheets", worksheets);
  const [problem, setProblem] = useState<Problem>();
  const [busy, setBusy] = useState(false);
  const begin = async (from: Parameters<typeof addWorksheet>[0]) => {
    setBusy(true);
    const answer = await addWorksheet(from);
    setBusy(false);
    if (answer.ok) go({ page: "worksheet", id: answer.value.id });
    else setProblem(answer.problem);
  };
  const open = async (file: File) => {
    const read = jsonFromText(await file.text());
    const sheet = read.ok ? sheetIn(read.value) : undefined;
    if (sheet !== undefined) await begin({ worksheet: sheet });
    else setProblem(NO_WORKSHEET);
  };
  const title = `Begun ${timeShown(new Date().toISOString())}`;
  return (
    <section aria-labelledby="workshop">
      <h2 id="workshop">In the workshop</h2>
      <p>
        A sensor sends and no layout reads it? Its layout can be worked out from some dozens of its bursts and a hand
        gauge.
      </p>
      {problem && <ProblemNote problem={problem} />}
      <p class="form-foot">
        <button type="button" class="button main" disabled={busy} onClick={() => begin({ title })}>
          Work out a layout
        </button>
        <label class="file">
          <span>Or go on with a worksheet's file</span>
          <input
            type="file"
            accept=".json,application/json"
            onChange={(event) => {
              const input = event.currentTarget;
              const file = input.files?.[0];
              // Emptied, so that the same file can be chosen again once it is mended.
              if (file) void open(file).finally(() => (input.value = ""));
            }}
          />
        </label>
      </p>
      <Waiting loaded={loaded} what="the worksheets">
        {(all) =>
          all.length === 0 ? null : (
            <List
              label="Worksheets"
              class="rows"
              items={all}
              keyOf={({ id }) => id}
              empty={{ says: "No worksheet.", action: { label: "Work out a layout", onClick: () => begin({ title }) } }}
            >
              {({ id, title: name, burstCount, changedAt }) => (
                <a class="row row-layout" href={`/workshop/${id}`}>
                  <span class="row-title">
                    {name}
                    <span class="row-sub fixed-width">{id}</span>
                  </span>
                  <span class="row-text">{counted(burstCount, "burst")}</span>
                  <span class="row-when">{timeShown(changedAt)}</span>
                </a>
              )}
            </List>
          )
        }
      </Waiting>
    </section>
  );
}

const NO_WORKSHEET: Problem = {
  title: "This is not a worksheet",
  status: 0,
  detail: "A worksheet's file is what the workshop saves by “Save it as a file”.",
  nextSteps: ["Choose such a file.", "A layout's file goes on the shelf by “Put a file on the shelf”."],
};

/** The worksheet that a file has in it; `undefined` where it has none. */
function sheetIn(value: unknown): unknown {
  if (typeof value !== "object" || value === null) return undefined;
  return "worksheet" in value ? value.worksheet : "format" in value ? value : undefined;
}
