import type { JSX } from "preact";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { useSettings } from "../../device.ts";
import { setPointWords } from "../../model/bench/lotWords.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import type { StageProps } from "./LotPage.tsx";
import { lotBox } from "./SetUpStage.tsx";

type SetPoint = LotBody["setPoints"][number];

const WAYS = [
  ["up", "up"],
  ["down", "down"],
] as const;

/** The pressures that the pot is filled to, one after the other. */
export function SetPointsPart({ lot, here, autosave }: StageProps): JSX.Element {
  const { pressure } = useSettings();
  const put = (change: (points: SetPoint[]) => SetPoint[], says: string) => {
    void here.save(({ setPoints }) => ({ setPoints: change(setPoints) }), says);
  };
  return (
    <section aria-labelledby="lot-points">
      <h3 id="lot-points">Set points, in the order in which the pot is filled</h3>
      <p class="caption">Up is reached from below, down from above: a sensor may remember where it came from.</p>
      <ol class="set-points">
        {lot.setPoints.map((point, i) => (
          <li key={`${i} of ${lot.setPoints.length}`}>
            <TextField label={`Set point ${i + 1}`} unit={pressure} numeric {...lotBox(autosave, `setPoint.${i}`)} />
            <PickOne
              label="way"
              value={point.way}
              options={WAYS}
              onChange={(way) =>
                put(
                  (points) => points.map((one, at) => (at === i ? { ...one, way } : one)),
                  `Set point ${i + 1} is reached from ${way === "up" ? "below" : "above"}`,
                )
              }
            />
            <button
              type="button"
              class="button small"
              onClick={() => {
                put(
                  (points) => points.filter((_, at) => at !== i),
                  `Without the set point ${setPointWords(point, pressure)}`,
                );
                // Places in the row change; what was typed is on its way already, since its box was left.
                autosave.drop(lot.setPoints.map((_, at) => `setPoint.${at}`));
              }}
            >
              Take away<span class="heard-only"> set point {i + 1}</span>
            </button>
          </li>
        ))}
      </ol>
      <div class="form-foot">
        <button
          type="button"
          class="button"
          onClick={() => put((points) => [...points, points.at(-1) ?? { kpa: 200, way: "up" }], "One more set point")}
        >
          Add a set point
        </button>
        <TextField label="Readings needed at each, once settled" numeric {...lotBox(autosave, "leastReadings")} />
      </div>
    </section>
  );
}
