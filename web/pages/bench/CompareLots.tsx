import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { lots } from "../../calls/lots.ts";
import { useLoaded } from "../../loaded.ts";
import { lotTitle } from "../../model/bench/lotWords.ts";
import { addressOf } from "../../model/route.ts";
import { PickOne } from "../../views/Fields.tsx";

interface CompareLotsProps {
  readonly id: string;
  /** The one that is compared already. */
  readonly with?: string;
}

/** The way to another lot beside this one. */
export function CompareLots({ id, with: chosenAlready = "" }: CompareLotsProps): JSX.Element {
  const loaded = useLoaded("lots", lots);
  const [chosen, setChosen] = useState(chosenAlready);
  const others = (loaded.state === "there" ? loaded.value : []).filter((lot) => lot.id !== id);
  if (others.length === 0) {
    return <p class="caption">There is no other lot yet that this one could be compared with.</p>;
  }
  const other = others.find((lot) => lot.id === chosen) ?? others[0];
  return (
    <div class="inline-form">
      <PickOne
        label="Compare with another lot"
        value={other?.id ?? ""}
        options={others.map((lot) => [lot.id, `${lot.id}, ${lotTitle(lot)}`] as const)}
        onChange={setChosen}
      />
      <a class="button" href={`${addressOf({ page: "lotsCompared", id })}?with=${encodeURIComponent(other?.id ?? "")}`}>
        Compare the two lots
      </a>
    </div>
  );
}
