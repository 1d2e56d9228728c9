import { useEffect, useState } from "preact/hooks";
import type { BurstSymbolsBody } from "../../../server/http/wire.ts";
import { symbolsOf } from "../../calls/measures.ts";
import type { Picked } from "../../model/compare/picked.ts";

type Found = BurstSymbolsBody["found"];

/** Where the symbols of each lie, as they come; `undefined` where that is not known, or cannot be told. */
export function useSymbols(these: readonly Picked[]): readonly (Found | undefined)[] {
  const [known, setKnown] = useState<ReadonlyMap<string, Found>>(new Map());
  const keys = these.map(({ recording, frame }) =>
    frame === undefined ? "" : `${recording.hash} ${frame.burst.index}`,
  );
  const wanted = keys.join(",");
  useEffect(() => {
    let isOld = false;
    for (const key of new Set(wanted.split(","))) {
      const [hash, burst] = key.split(" ");
      if (hash === undefined || burst === undefined) continue;
      void symbolsOf(hash, Number(burst)).then((answer) => {
        // Without an answer the places are worked out from the burst's beginning, and say so.
        if (!isOld && answer.ok) setKnown((before) => new Map(before).set(key, answer.value.found));
      });
    }
    return () => {
      isOld = true;
    };
  }, [wanted]);
  const [kept, setKept] = useState<readonly (Found | undefined)[]>([]);
  useEffect(() => setKept(wanted.split(",").map((key) => known.get(key))), [wanted, known]);
  return kept;
}
