import { useEffect, useState } from "preact/hooks";

/** Counts up whenever the page's colours change, so that what is painted by hand is painted anew. */
export function useInk(): number {
  const [round, setRound] = useState(0);
  useEffect(() => {
    const again = () => setRound((n) => n + 1);
    const observer = new MutationObserver(again);
    observer.observe(document.documentElement, { attributes: true, attributeFilter: ["data-theme"] });
    const forced = matchMedia("(forced-colors: active)");
    forced.addEventListener("change", again);
    const print = matchMedia("print");
    print.addEventListener("change", again);
    return () => {
      observer.disconnect();
      forced.removeEventListener("change", again);
      print.removeEventListener("change", again);
    };
  }, []);
  return round;
}
