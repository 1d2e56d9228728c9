import { useCallback, useEffect, useState } from "preact/hooks";
import { type Comparison, compareSearch, comparisonOf, refusedIn } from "../../model/compare/address.ts";

export interface ComparisonHere {
  readonly comparison: Comparison;
  /** What of the address that the page was opened with names no frame. */
  readonly refused: readonly string[];
  readonly change: (change: Partial<Comparison>) => void;
}

/** A browser refuses addresses that change too often. */
const ADDRESS_MS = 250;

/** What is compared, kept in the address. */
export function useComparison(): ComparisonHere {
  const [comparison, setComparison] = useState(() => comparisonOf(location.search));
  const [refused, setRefused] = useState(() => refusedIn(location.search));
  useEffect(() => {
    const follow = () => {
      setComparison(comparisonOf(location.search));
      setRefused(refusedIn(location.search));
    };
    window.addEventListener("popstate", follow);
    return () => window.removeEventListener("popstate", follow);
  }, []);
  useEffect(() => {
    const search = compareSearch(comparison);
    if (comparison.picks.length === 0 || search === location.search) return;
    const timer = setTimeout(() => history.replaceState(null, "", location.pathname + search), ADDRESS_MS);
    return () => clearTimeout(timer);
  }, [comparison]);
  const change = useCallback((changed: Partial<Comparison>) => {
    setComparison((before) => ({ ...before, ...changed }));
  }, []);
  return { comparison, refused, change };
}
