import type { JSX } from "preact";
import { useSettings } from "../../device.ts";
import type { LotKey } from "../../model/bench/lotDraft.ts";
import { TextField } from "../../views/Fields.tsx";
import { FixturePart } from "./FixturePart.tsx";
import { GaugePart } from "./GaugePart.tsx";
import type { StageProps } from "./LotPage.tsx";
import { MoreLimits } from "./MoreLimits.tsx";
import { PlanPart } from "./PlanPart.tsx";
import { RulePart } from "./RulePart.tsx";
import { SetPointsPart } from "./SetPointsPart.tsx";
import { SourcesPart } from "./SourcesPart.tsx";
import type { LotAutosave } from "./useLot.ts";

/** What a box of a lot needs to be drawn. */
export function lotBox(autosave: LotAutosave, key: LotKey) {
  return {
    value: autosave.draft[key] ?? "",
    wrong: autosave.wrong[key],
    onInput: (text: string) => autosave.type(key, text),
    onLeave: autosave.flush,
  };
}

/** What is tested, against what, and by which rule; each box saves itself, and none has to be filled in. */
export function SetUpStage(given: StageProps): JSX.Element {
  const { autosave } = given;
  const { pressure } = useSettings();
  const box = (key: LotKey) => lotBox(autosave, key);
  return (
    <form
      class="lot-form"
      aria-label="Set up"
      onSubmit={(event) => {
        event.preventDefault();
        autosave.flush();
      }}
    >
      <section aria-labelledby="lot-what">
        <h3 id="lot-what">What is tested</h3>
        <div class="edit-card-more">
          <TextField label="Supplier" maxLength={120} {...box("supplier")} />
          <TextField label="Part" maxLength={120} {...box("part")} />
          <TextField label="Delivered" unit="pieces" numeric {...box("quantity")} />
          <TextField label="Drawn from it" unit="specimens" numeric {...box("sample")} />
          <TextField label="How they were drawn" maxLength={400} {...box("drawn")} />
          <TextField label="Tested by" maxLength={120} {...box("testedBy")} />
          <TextField label="Name of the lot, if it has one" maxLength={120} {...box("title")} />
        </div>
      </section>
      <section aria-labelledby="lot-limits">
        <h3 id="lot-limits">What it has to keep to</h3>
        <div class="edit-card-more">
          <TextField label="Pressure: off by at most" unit={`± ${pressure}`} numeric {...box("limits.pressureKpa")} />
          <TextField
            label="or, where that is wider"
            unit="± % of the gauge"
            numeric
            {...box("limits.pressurePercent")}
          />
        </div>
        <MoreLimits {...given} />
      </section>
      <GaugePart {...given} />
      <RulePart {...given} />
      <SetPointsPart {...given} />
      <FixturePart {...given} />
      <SourcesPart {...given} />
      <PlanPart {...given} />
    </form>
  );
}
