import type { JSX } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { StudyBody, StudyBurstBody } from "../../../server/http/wire/studies.ts";
import type { Problem } from "../../api.ts";
import { BURSTS_A_PAGE, studyBursts } from "../../calls/studies.ts";
import { keepCameFrom } from "../../cameFrom.ts";
import { figure, frequencyShown, inLine } from "../../model/quantities.ts";
import { type StudyView, studyAddress } from "../../model/study/address.ts";
import { frameAddress } from "../../model/study/burstLink.ts";
import { burstsTitle } from "../../model/study/studyWords.ts";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Table } from "../../views/Table.tsx";
import { OpenInput } from "./OpenInput.tsx";

interface StudyBurstsProps {
  readonly study: StudyBody;
  readonly view: StudyView;
}

/** The bursts that a count counts, each a click from its frame. */
export function StudyBursts({ study, view }: StudyBurstsProps): JSX.Element {
  const { id, counts } = study;
  const { outcome, input } = view;
  const [held, setHeld] = useState<readonly StudyBurstBody[]>();
  const [more, setMore] = useState(false);
  const [problem, setProblem] = useState<Problem>();

  const ask = async (before: readonly StudyBurstBody[]) => {
    const last = before.at(-1);
    const answer = await studyBursts(id, { outcome, input }, last && `${last.input}.${last.burst}`);
    setProblem(answer.ok ? undefined : answer.problem);
    if (!answer.ok) return;
    setHeld([...before, ...answer.value]);
    setMore(answer.value.length === BURSTS_A_PAGE);
  };
  useEffect(() => void ask([]), [id, outcome, input, counts.done]);

  // Whoever pressed a count comes to what it counts, and not to the top of the page.
  const heading = useRef<HTMLHeadingElement>(null);
  const isThere = held !== undefined;
  useEffect(() => {
    if (isThere) heading.current?.focus();
  }, [id, outcome, input, isThere]);

  const title = burstsTitle(outcome, input === undefined ? undefined : (held?.[0]?.name ?? `input ${input}`));
  const address = studyAddress(id, view);
  return (
    <section class="study-bursts" id="bursts">
      <h2 ref={heading} tabIndex={-1}>
        {title}
      </h2>
      <p>
        <a href={studyAddress(id)}>Show the whole study</a>
      </p>
      {problem && <ProblemNote problem={problem} again={() => void ask([])} />}
      {held !== undefined && (
        <Table
          caption="In the order of the inputs, then of time"
          rows={held}
          keyOf={({ input: of, burst }) => `${of}.${burst}`}
          empty={{
            says: "No burst came to this.",
            action: { label: "Show the whole study", href: studyAddress(id) },
          }}
          columns={[
            { name: "Input", cell: ({ name }) => name },
            {
              name: "At",
              figures: true,
              cell: (burst) => <BurstLink burst={burst} from={{ address, words: `${study.title}: ${title}` }} />,
            },
            { name: "Carrier", figures: true, cell: ({ carrierHz }) => inLine(frequencyShown(carrierHz, 3)) },
            {
              name: "Over noise",
              figures: true,
              cell: ({ snrDb }) => (snrDb === null ? "–" : `${figure(snrDb, 1)}\u202fdB`),
            },
            { name: "Why", cell: ({ because, layout }) => because ?? (layout === null ? "" : `read as ${layout}`) },
          ]}
        />
      )}
      {more && (
        <p class="form-foot">
          <button type="button" class="button" onClick={() => void ask(held ?? [])}>
            Show more
          </button>
        </p>
      )}
    </section>
  );
}

/** Leads to the frame, or, where the recording is not in this house, takes it in. */
function BurstLink({
  burst,
  from,
}: {
  readonly burst: StudyBurstBody;
  readonly from: { readonly address: string; readonly words: string };
}): JSX.Element {
  const at = `${figure(burst.atSeconds, 4)}\u202fs`;
  const href = frameAddress(burst);
  if (href === undefined) {
    return (
      <>
        {at} <OpenInput path={burst.inPlacePath} told={burst.inPlaceTold} name={burst.name} />
      </>
    );
  }
  return (
    <a
      href={href}
      aria-label={`The frame at ${at} in ${burst.name}`}
      onClick={() => burst.recordingHash !== null && keepCameFrom(burst.recordingHash, from)}
    >
      {at}
    </a>
  );
}
