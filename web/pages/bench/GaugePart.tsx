import type { JSX } from "preact";
import { useSettings } from "../../device.ts";
import type { LotKey } from "../../model/bench/lotDraft.ts";
import { Choice, TextField } from "../../views/Fields.tsx";
import { Mark } from "../../views/Mark.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

/** The reference instrument, and right below whether it is good enough for the limit. */
export function GaugePart({ lot, here, autosave }: StageProps): JSX.Element {
  const { pressure, temperature } = useSettings();
  const box = (key: LotKey) => lotBox(autosave, key);
  const degrees = temperature === "degC" ? "°C" : "°F";
  const isCertificate = lot.gauge.stated === "certificate";
  return (
    <section aria-labelledby="lot-gauge">
      <h3 id="lot-gauge">The gauge</h3>
      <Choice
        legend="How its error is stated"
        value={lot.gauge.stated}
        options={STATED}
        onChange={(stated) =>
          void here.save(({ gauge }) => ({ gauge: { ...gauge, stated } }), `The gauge's error is from its ${stated}`)
        }
      />
      <div class="edit-card-more">
        <TextField label="Gauge, by name or number" maxLength={200} {...box("gauge.name")} />
        <TextField
          label={isCertificate ? "Expanded uncertainty" : "Limit of error"}
          unit={`± ${pressure}`}
          numeric
          {...box("gauge.errorKpa")}
        />
        {isCertificate && <TextField label="with coverage factor k =" numeric {...box("gauge.coverage")} />}
        <TextField label="Finest step it shows" unit={pressure} numeric {...box("gauge.resolutionKpa")} />
        <TextField label="Calibrated on, such as 2026-03-02" maxLength={40} {...box("gauge.calibratedOn")} />
      </div>
      <GoodEnough lot={lot} />
      <details>
        <summary>Thermometer in the pot</summary>
        <div class="edit-card-more">
          <TextField label="Limit of error" unit={`± ${degrees}`} numeric {...box("gauge.temperatureErrorC")} />
          <TextField label="Finest step" unit={degrees} numeric {...box("gauge.temperatureResolutionC")} />
        </div>
      </details>
    </section>
  );
}

const STATED = [
  ["limit of error", "Limit of error: off by no more than this"],
  ["certificate", "Certificate: expanded uncertainty"],
] as const;

function GoodEnough({ lot: { ratio } }: Pick<StageProps, "lot">): JSX.Element {
  return (
    <p class="good-enough" role="status">
      {ratio === null ? (
        <>
          Is this gauge good enough? That is told here as soon as its error and the limit for pressure are entered,
          before anything is tested.
        </>
      ) : (
        <>
          Is this gauge good enough? {ratio.enough ? <strong>Yes.</strong> : <Mark strength="look here" words="No" />}{" "}
          {ratio.says}
        </>
      )}
    </p>
  );
}
