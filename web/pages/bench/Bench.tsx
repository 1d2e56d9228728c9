import type { JSX } from "preact";
import type { Route } from "../../model/route.ts";
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
