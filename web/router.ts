import { useEffect, useState } from "preact/hooks";
import { addressOf, type Route, routeOf } from "./model/route.ts";

/** Goes to another page of ours; `replace` leaves no way back to the one before. */
export function go(route: Route, { replace = false } = {}): void {
  const address = addressOf(route);
  if (replace) history.replaceState(null, "", address);
  else history.pushState(null, "", address);
  window.dispatchEvent(new PopStateEvent("popstate"));
}

/** The route of the address; `undefined` where no page has it. Follows the address, and links to pages of ours. */
export function useRoute(): Route | undefined {
  const [path, setPath] = useState(location.pathname);
  useEffect(() => {
    const follow = () => setPath(location.pathname);
    window.addEventListener("popstate", follow);
    document.addEventListener("click", followLink);
    return () => {
      window.removeEventListener("popstate", follow);
      document.removeEventListener("click", followLink);
    };
  }, []);
  return routeOf(path);
}

/** A plain click on a link to one of our pages changes the page in place; every other click is the browser's. */
function followLink(event: MouseEvent): void {
  if (
    event.defaultPrevented ||
    event.button !== 0 ||
    event.metaKey ||
    event.ctrlKey ||
    event.shiftKey ||
    event.altKey
  ) {
    return;
  }
  const link = event.target instanceof Element ? event.target.closest("a") : null;
  if (link === null || link.origin !== location.origin) return;
  if (link.target !== "" || link.hasAttribute("download")) return;
  // A jump inside the page, such as to its main part.
  if (link.hash !== "" && link.pathname === location.pathname) return;
  if (routeOf(link.pathname) === undefined) return;
  event.preventDefault();
  history.pushState(null, "", link.href);
  window.dispatchEvent(new PopStateEvent("popstate"));
  // On a narrow page the main part scrolls, not the window.
  window.scrollTo(0, 0);
  document.getElementById("main")?.scrollTo(0, 0);
}
