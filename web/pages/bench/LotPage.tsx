import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { sentence } from "../../../decoders/words.ts";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { lotDifferences } from "../../model/bench/lotChange.ts";
import { lotTitle } from "../../model/bench/lotWords.ts";
import { STAGE_TITLES, STAGES, type StageName, stageIn, stageNow, stageOf } from "../../model/bench/stages.ts";
import { ConflictNote } from "../../views/ConflictNote.tsx";
import { DoneNote } from "../../views/DoneNote.tsx";
import { InSight } from "../../views/InSight.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { StepsRow } from "../../views/StepsRow.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { DecideStage } from "./DecideStage.tsx";
import { LotMargin } from "./LotMargin.tsx";
import { RegisterStage } from "./RegisterStage.tsx";
import { SetPointsStage } from "./SetPointsStage.tsx";
import { SetUpStage } from "./SetUpStage.tsx";
import { SpecimenTable } from "./SpecimenTable.tsx";
import { type LotAutosave, type LotHere, useLot, useLotAutosave } from "./useLot.ts";

/** What every stage of a lot is given. */
export interface StageProps {
  readonly lot: LotBody;
  readonly here: LotHere;
  readonly autosave: LotAutosave;
}

/** A lot, from what it has to keep to, to what came of it: four stages, free to walk back and forth. */
export function LotPage({ id }: { readonly id: string }): JSX.Element {
  const here = useLot(id);
  const there = here.loaded.state === "there" ? here.loaded.value : undefined;
  return (
    <Page
      title={there ? lotTitle(there) : `Lot ${id}`}
      lead={
        <>
          Lot <span class="fixed-width">{id}</span> on <a href="/bench">the bench</a>
          {there?.sampleOfHouse ? ", a sample that came with the house" : ""}
        </>
      }
      margin={there && <LotMargin lot={there} />}
    >
      <Waiting loaded={here.loaded} what={`lot ${id}`}>
        {(lot) => <LotWork lot={lot} here={here} />}
      </Waiting>
    </Page>
  );
}

function LotWork({ lot, here }: Pick<StageProps, "lot" | "here">): JSX.Element {
  const autosave = useLotAutosave(lot, here);
  // The stage does not change under the hands of who works in it: where the work has gone on is told, and walked to.
  const [first] = useState(() => stageNow(lot));
  const [asked, setAsked] = useState(() => stageIn(location.search));
  useEffect(() => {
    const follow = () => setAsked(stageIn(location.search));
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  const stage = asked ?? first;
  const walk = (to: StageName) => {
    history.pushState(null, "", `?at=${to}`);
    setAsked(to);
    requestAnimationFrame(() => {
      const heading = document.getElementById("stage");
      heading?.focus({ preventScroll: true });
      heading?.scrollIntoView({ block: "nearest" });
    });
  };
  const given = { lot, here, autosave };
  const { conflict } = here;
  const chosen = (choose: () => void) => () => {
    autosave.dropAll();
    choose();
  };
  return (
    <>
      {here.problem && <InSight problem={here.problem} />}
      {conflict && (
        <ConflictNote
          what="This lot"
          rows={lotDifferences(conflict.change, conflict.now)}
          busy={here.saving}
          onMine={chosen(here.keepMine)}
          onTheirs={chosen(here.keepTheirs)}
        />
      )}
      <StepsRow
        label="Stages"
        steps={STAGES.map((name) => ({
          name,
          title: STAGE_TITLES[name],
          state: stateWords(stageOf(lot, name)?.state),
        }))}
        at={stage}
        onWalk={walk}
      />
      <Warnings
        // Whether the gauge is good enough stands right below the gauge.
        warnings={stage === "set-up" ? lot.warnings.filter(({ says }) => says !== lot.ratio?.says) : lot.warnings}
        isAll={stage === "set-up" || stage === "decide"}
      />
      <section class="stage" aria-labelledby="stage">
        <h2 id="stage" tabIndex={-1}>
          {STAGE_TITLES[stage]}: {stageOf(lot, stage)?.says ?? ""}
        </h2>
        {stage === "set-up" && <SetUpStage {...given} />}
        {stage === "register" && <RegisterStage {...given} />}
        {stage === "set-points" && <SetPointsStage {...given} />}
        {stage === "decide" && <DecideStage {...given} />}
        <div class="stage-foot">
          <DoneNote card={here} />
          <p class="caption" role="status">
            {autosave.says}
          </p>
        </div>
        <Onwards stage={stage} onWalk={walk} />
      </section>
      {lot.rows.length > 0 && <SpecimenTable {...given} stage={stage} />}
    </>
  );
}

function stateWords(state: LotBody["stages"][number]["state"] | undefined): string {
  return state === "now" ? "now" : state === "done" ? "done" : "later";
}

interface WarningsProps {
  readonly warnings: LotBody["warnings"];
  /** Else only those that stop the work. */
  readonly isAll: boolean;
}

/** What should be put right before the test is trusted. */
function Warnings({ warnings, isAll }: WarningsProps): JSX.Element | null {
  const shown = warnings.filter(({ strength }) => strength === "stop" || (isAll && strength === "look here"));
  const notes = warnings.filter(({ strength }) => isAll && strength === "note");
  if (shown.length + notes.length === 0) return null;
  return (
    <ul class="list warnings" aria-label="Before you trust it">
      {shown.map(({ strength, says }) => (
        <li key={says}>
          <Mark strength={strength === "stop" ? "stop" : "look here"} /> {sentence(says)}
        </li>
      ))}
      {notes.map(({ says }) => (
        <li key={says}>{sentence(says)}</li>
      ))}
    </ul>
  );
}

function Onwards({ stage, onWalk }: { readonly stage: StageName; readonly onWalk: (to: StageName) => void }) {
  const after = STAGES[STAGES.indexOf(stage) + 1];
  const before = STAGES[STAGES.indexOf(stage) - 1];
  return (
    <p class="form-foot">
      {before && (
        <button type="button" class="button" onClick={() => onWalk(before)}>
          Stage before
        </button>
      )}
      {after && (
        <button type="button" class="button" onClick={() => onWalk(after)}>
          Next stage<span class="heard-only">: {STAGE_TITLES[after]}</span>
        </button>
      )}
    </p>
  );
}
