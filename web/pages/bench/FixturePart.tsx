import type { JSX } from "preact";
import { useSettings } from "../../device.ts";
import type { LotKey } from "../../model/bench/lotDraft.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

const KINDS = [
  ["plastic pot", "Plastic pot"],
  ["metal pot, antenna inside", "Metal pot, antenna inside"],
  ["metal pot, antenna outside", "Metal pot, antenna outside"],
  ["on rims", "Tyres on rims"],
  ["other", "Something else"],
] as const;

/** What the specimens lie in, with the care that it asks for. */
export function FixturePart({ lot, here, autosave }: StageProps): JSX.Element {
  const { pressure } = useSettings();
  const box = (key: LotKey) => lotBox(autosave, key);
  const { kind, wokenOneByOne } = lot.fixture;
  return (
    <section aria-labelledby="lot-fixture">
      <h3 id="lot-fixture">The pot</h3>
      <p class="caution">
        Never above its rating, a relief valve fitted, eye protection on. Let the pressure down before the lid is
        opened.
      </p>
      <div class="edit-card-more">
        <PickOne
          label="What they lie in"
          value={kind}
          options={KINDS}
          onChange={(one) =>
            void here.save(({ fixture }) => ({ fixture: { ...fixture, kind: one } }), `Tested in: ${one}`)
          }
        />
        <TextField label="Rated for" unit={pressure} numeric {...box("fixture.ratedKpa")} />
        <label class="check">
          <input
            type="checkbox"
            checked={wokenOneByOne}
            onChange={(event) => {
              const oneByOne = event.currentTarget.checked;
              void here.save(
                ({ fixture }) => ({ fixture: { ...fixture, wokenOneByOne: oneByOne } }),
                oneByOne ? "They are woken one by one" : "They are woken together",
              );
            }}
          />
          <span>They are woken one by one</span>
        </label>
        <TextField label="Notes on the pot" lines={2} maxLength={2000} {...box("fixture.notes")} />
      </div>
      {kind === "metal pot, antenna outside" && (
        <p class="caution">A metal pot shields: with the antenna outside little or nothing is heard.</p>
      )}
      <details>
        <summary>For frequency and field strength</summary>
        <div class="edit-card-more">
          <TextField
            label="Error of the receiver's reference"
            unit="± ppm"
            numeric
            {...box("fixture.carrierErrorPpm")}
          />
          <TextField label="From specimen to antenna" unit="m" numeric {...box("fixture.distanceM")} />
          <TextField label="Gain of the antenna" unit="dBi" numeric {...box("fixture.antennaGainDbi")} />
          <TextField
            label="0 dBFS at the antenna's socket, if calibrated"
            unit="dBm"
            numeric
            {...box("fixture.fullScaleDbm")}
          />
          <TextField label="Barometer, if you have one" unit={`${pressure} absolute`} numeric {...box("ambientKpa")} />
          <TextField label="Altitude" unit="m" numeric {...box("altitudeM")} />
        </div>
      </details>
    </section>
  );
}
