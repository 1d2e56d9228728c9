import type { JSX } from "preact";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { Choice, TextField } from "../../views/Fields.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

type Rule = LotBody["rule"];

/** What each rule begins with, and what it costs. */
const RULES: Readonly<Record<Rule["kind"], { readonly begins: Rule; readonly words: string; readonly costs: string }>> =
  {
    guard: {
      begins: { kind: "guard", multiple: 1 },
      words: "With a guard band: within only with its whole uncertainty inside the limit",
      costs:
        "Hardly a bad one is called within, and hardly a good one outside. The cost: those near the limit come out as “cannot tell”, more of them the coarser the gauge is.",
    },
    simple: {
      begins: { kind: "simple" },
      words: "By the value alone: within or outside, whatever the uncertainty",
      costs:
        "Everything that is measured gets a verdict. The cost: one that lies right on the limit is called within or outside by chance, so both sides share the risk.",
    },
    risk: {
      begins: { kind: "risk", falseAccept: 0.05, falseReject: 0.05 },
      words: "By stated risks: you say how often each mistake may happen",
      costs:
        "Both risks are yours to set, and stand in the record. The cost: the smaller they are, the more come out as “cannot tell”.",
    },
  };
const KINDS = ["guard", "simple", "risk"] as const;

/** How a value near a limit is decided. */
export function RulePart({ lot, here, autosave }: StageProps): JSX.Element {
  const { kind } = lot.rule;
  return (
    <section aria-labelledby="lot-rule">
      <h3 id="lot-rule">How it is decided</h3>
      <Choice
        legend="Decision rule"
        value={kind}
        options={KINDS.map((one) => [one, RULES[one].words] as const)}
        onChange={(one) => void here.save({ rule: RULES[one].begins }, `Decided ${RULE_NAMES[one]}`)}
      />
      <p class="meaning">{RULES[kind].costs}</p>
      {kind === "guard" && (
        <div class="edit-card-more">
          <TextField label="Guard band w, in expanded uncertainties U" numeric {...lotBox(autosave, "rule.multiple")} />
        </div>
      )}
      {kind === "risk" && (
        <div class="edit-card-more">
          <TextField
            label="A bad one called within, at most"
            unit="%"
            numeric
            {...lotBox(autosave, "rule.falseAccept")}
          />
          <TextField
            label="A good one called outside, at most"
            unit="%"
            numeric
            {...lotBox(autosave, "rule.falseReject")}
          />
        </div>
      )}
      <p class="caption">{lot.ruleSays}</p>
    </section>
  );
}

const RULE_NAMES: Readonly<Record<Rule["kind"], string>> = {
  guard: "with a guard band",
  simple: "by the value alone",
  risk: "by stated risks",
};
