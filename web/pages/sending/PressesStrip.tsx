import type { JSX } from "preact";
import type { StoredBurstBody } from "../../../server/http/wire.ts";
import { dotStrip } from "../../model/dotStrip.ts";
import { pressesOf } from "../../model/presses.ts";
import { figure } from "../../model/quantities.ts";
import { timeShown } from "../../model/times.ts";
import { DotStripView } from "../../views/DotStripView.tsx";

/** Level from press to press: a weak cell fades. Not there before the first press, of which the table speaks. */
export function PressesStrip({ bursts }: { readonly bursts: readonly StoredBurstBody[] }): JSX.Element | null {
  const { presses, scale, says } = pressesOf(bursts);
  const told = presses.flatMap(({ at, levelDb }) => (levelDb === undefined ? [] : [{ at, levelDb }]));
  if (told.length === 0) return null;
  const unit = scale === "full scale" ? "dBFS" : "dB";
  const strip = dotStrip(
    told.map(({ at, levelDb }) => ({ at, value: levelDb, title: `${timeShown(at)}: ${figure(levelDb, 0)} ${unit}` })),
    (value) => `${figure(value, 0)} ${unit}`,
  );
  return (
    <section aria-labelledby="presses">
      <h2 id="presses">{says ?? "Press again, three times or more, to see whether it fades."}</h2>
      <DotStripView
        strip={strip}
        label={`Level over ${scale} of ${told.length} presses: ${told.map(({ levelDb }) => figure(levelDb, 0)).join(", ")} ${unit}`}
      />
    </section>
  );
}
