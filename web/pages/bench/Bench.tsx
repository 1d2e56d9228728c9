import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import type { Route } from "../../model/route.ts";
import { BandsContext } from "../../views/recording/bands.ts";
import { BenchPage } from "./BenchPage.tsx";
import { LotPage } from "./LotPage.tsx";
import { LotRecordPage } from "./LotRecordPage.tsx";
import { LotsComparedPage } from "./LotsComparedPage.tsx";
import { SpecimenPage } from "./SpecimenPage.tsx";
import "./bench.css";

/** The routes of the bench. */
export type BenchRoute = Extract<Route, { readonly page: "bench" | "lot" | "lotRecord" | "lotsCompared" | "specimen" }>;

/** All pages of the bench, fetched together when one of them is opened. */
export function Bench({ route }: { readonly route: BenchRoute }): JSX.Element {
  const [hidden, setHidden] = useState<readonly string[]>([]);
  const bands = useMemo(() => ({ hidden, setHidden }), [hidden]);
  return <BandsContext.Provider value={bands}>{pageOf(route)}</BandsContext.Provider>;
}

function pageOf(route: BenchRoute): JSX.Element {
  switch (route.page) {
    case "bench":
      return <BenchPage />;
    case "lot":
      return <LotPage key={route.id} id={route.id} />;
    case "lotRecord":
      return <LotRecordPage key={route.id} id={route.id} />;
    case "lotsCompared":
      return <LotsComparedPage key={route.id} id={route.id} />;
    case "specimen":
      return <SpecimenPage key={`${route.id} ${route.number}`} id={route.id} number={route.number} />;
  }
}
