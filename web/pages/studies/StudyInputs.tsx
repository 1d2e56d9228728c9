import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { StudyBody, StudyInputBody } from "../../../server/http/wire/studies.ts";
import type { Problem } from "../../api.ts";
import { studyInputs } from "../../calls/studies.ts";
import { keepCameFrom } from "../../cameFrom.ts";
import { type StudyView, studyAddress, WHOLE_STUDY } from "../../model/study/address.ts";
import { doneWords, inputWords, outcomeQuestion, STATE_ORDER, stateStrength } from "../../model/study/studyWords.ts";
import { Mark } from "../../views/Mark.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";
import { OpenInput } from "./OpenInput.tsx";

interface StudyInputsProps {
  readonly study: StudyBody;
  readonly view: StudyView;
}

/** What is asked for again and again while it runs, and no more of it. */
const LIVE_MS = 1000;

/** Every input with its state in word and shape; those of one state, or of one rung, where the address says so. */
export function StudyInputs({ study, view }: StudyInputsProps): JSX.Element {
  const { id, counts, state } = study;
  const [held, setHeld] = useState<{ readonly total: number; readonly inputs: readonly StudyInputBody[] }>();
  const [problem, setProblem] = useState<Problem>();

  const ask = async (before: readonly StudyInputBody[]) => {
    const answer = await studyInputs(id, view, before.at(-1)?.index);
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setHeld({ total: answer.value.total, inputs: [...before, ...answer.value.inputs] });
  };
  const isRunning = state === "running";
  const onlyFirstPage = held === undefined || held.inputs.length <= 50;
  useEffect(() => {
    // Who has asked for more is not thrown back to the first page by every step.
    if (onlyFirstPage) void ask([]);
  }, [id, view.state, view.reached, state, counts.done, counts.failed, counts.total]);
  useEffect(() => {
    if (!isRunning || !onlyFirstPage) return undefined;
    const timer = setInterval(() => void ask([]), LIVE_MS);
    return () => clearInterval(timer);
  }, [id, view.state, view.reached, isRunning, onlyFirstPage]);

  const heading = useRef<HTMLHeadingElement>(null);
  const isFiltered = view.state !== undefined || view.reached !== undefined;
  const isThere = held !== undefined;
  useEffect(() => {
    if (isThere && isFiltered) heading.current?.focus();
  }, [id, view.state, view.reached, isThere, isFiltered]);

  const address = studyAddress(id, view);
  return (
    <section class="study-inputs">
      <h2 ref={heading} tabIndex={-1}>
        {counts.total === 0 ? "The inputs are not known yet" : doneWords(counts)}
      </h2>
      {counts.total > 0 && (
        <nav class="filter" aria-label="Inputs by their state">
          <a href={studyAddress(id)} aria-current={address === studyAddress(id) ? "true" : undefined}>
            {`all ${counts.total}`}
          </a>
          {STATE_ORDER.map((one) => (
            <a
              key={one}
              href={studyAddress(id, { ...WHOLE_STUDY, state: one })}
              aria-current={view.state === one ? "true" : undefined}
            >{`${counts[one]} ${one}`}</a>
          ))}
        </nav>
      )}
      {view.reached !== undefined && (
        <p>
          {`Only those whose best is: ${outcomeQuestion(view.reached)} `}
          <a href={studyAddress(id)}>Show the whole study</a>
        </p>
      )}
      {problem && <ProblemNote problem={problem} again={() => void ask([])} />}
      {held !== undefined && (
        <Table
          caption={
            held.inputs.length < held.total ? `The first ${held.inputs.length} of ${held.total}` : "In their order"
          }
          rows={held.inputs}
          keyOf={({ index }) => String(index)}
          empty={{
            says: counts.total === 0 ? "They are being looked through." : "No input is in this state.",
            action: { label: "Show the whole study", href: studyAddress(id) },
          }}
          columns={[
            { name: "Input", cell: (input) => <InputName input={input} study={study} address={address} /> },
            { name: "State", cell: (input) => <Mark strength={stateStrength(input.state)} words={input.state} /> },
            { name: "What came of it", cell: (input) => <CameOf input={input} id={id} /> },
          ]}
        />
      )}
      {held !== undefined && held.inputs.length < held.total && (
        <p class="form-foot">
          <button type="button" class="button" onClick={() => void ask(held.inputs)}>
            Show more
          </button>
        </p>
      )}
    </section>
  );
}

/** Leads to the recording's own page where the house has it. */
function InputName({
  input: { name, recordingHash },
  study,
  address,
}: {
  readonly input: StudyInputBody;
  readonly study: Pick<StudyBody, "title">;
  readonly address: string;
}): JSX.Element {
  if (recordingHash === null) return <>{name}</>;
  return (
    <a
      href={`/recordings/${recordingHash}`}
      onClick={() => keepCameFrom(recordingHash, { address, words: `${study.title}, its inputs` })}
    >
      {name}
    </a>
  );
}

function CameOf({ input, id }: { readonly input: StudyInputBody; readonly id: string }): JSX.Element {
  const { state, share, remark, bursts, index, recordingHash, inPlacePath, inPlaceTold, name } = input;
  return (
    <>
      {inputWords(input)} {state === "running" && <progress max={1} value={share} aria-label={`How far ${name} is`} />}
      {(bursts ?? 0) > 0 && <a href={studyAddress(id, { ...WHOLE_STUDY, input: index })}>Its bursts</a>}
      {remark !== null && <span class="caption"> {remark}</span>}
      {state === "done" && recordingHash === null && (
        <>
          {" "}
          <OpenInput path={inPlacePath} told={inPlaceTold} name={name} />
        </>
      )}
    </>
  );
}
