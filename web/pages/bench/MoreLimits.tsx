import type { JSX } from "preact";
import { layouts } from "../../calls/layouts.ts";
import { useSettings } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import type { LotKey } from "../../model/bench/lotDraft.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

/** Limits that not every delivery has; those that stay empty are not asked for. */
export function MoreLimits({ lot, here, autosave }: StageProps): JSX.Element {
  const { temperature } = useSettings();
  const box = (key: LotKey) => lotBox(autosave, key);
  const shelf = useLoaded("layouts", layouts);
  const known = shelf.state === "there" ? shelf.value.map(({ id }) => id) : [];
  const isPpm = lot.limits.carrierUnit === "ppm";
  return (
    <details>
      <summary>More limits: frequency, layout, temperature, answer to the wake</summary>
      <div class="edit-card-more">
        <TextField label="Frequency" unit="MHz" numeric {...box("limits.carrierHz")} />
        <TextField label="off by at most" unit={isPpm ? "± ppm" : "± kHz"} numeric {...box("limits.carrierOff")} />
        <PickOne
          label="Frequency's limit in"
          value={lot.limits.carrierUnit}
          options={CARRIER_UNITS}
          onChange={(carrierUnit) =>
            void here.save(
              ({ limits }) => ({ limits: { ...limits, carrierUnit, carrierOff: null } }),
              `The frequency's limit is in ${carrierUnit === "Hz" ? "kHz" : "ppm"}`,
            )
          }
        />
        <TextField label="Layout it has to speak" maxLength={64} options={known} {...box("limits.layout")} />
        <TextField
          label="Sensor IDs of this part, ? for any digit"
          fixedWidth
          maxLength={20}
          {...box("limits.identity")}
        />
        <TextField
          label="Temperature: off by at most"
          unit={temperature === "degC" ? "± °C" : "± °F"}
          numeric
          {...box("limits.temperatureC")}
        />
        <TextField label="Deviation" unit="kHz" numeric {...box("limits.deviationHz")} />
        <TextField label="deviation off by at most" unit="± kHz" numeric {...box("limits.deviationOffHz")} />
        <TextField label="Symbol rate" unit="symbols/s" numeric {...box("limits.symbolRate")} />
        <TextField label="symbol rate off by at most" unit="± %" numeric {...box("limits.symbolRateOffPercent")} />
        <TextField label="Level: off by at most" unit="± dB" numeric {...box("limits.levelDb")} />
        <TextField label="From wake to answer at most" unit="s" numeric {...box("limits.wakeSeconds")} />
        <TextField label="Telegrams a wake, at least" numeric {...box("limits.telegramsPerWakeLeast")} />
        <TextField label="Telegrams a wake, at most" numeric {...box("limits.telegramsPerWakeMost")} />
        <TextField label="Golden specimen: its number, or lot/number" maxLength={24} {...box("golden")} />
        <label class="check">
          <input
            type="checkbox"
            checked={lot.limits.batteryGood}
            onChange={(event) => {
              const batteryGood = event.currentTarget.checked;
              void here.save(
                ({ limits }) => ({ limits: { ...limits, batteryGood } }),
                batteryGood ? "The battery has to say good" : "The battery is not asked for",
              );
            }}
          />
          <span>The battery flag has to say good</span>
        </label>
      </div>
    </details>
  );
}

const CARRIER_UNITS = [
  ["Hz", "kHz"],
  ["ppm", "ppm of the frequency"],
] as const;
