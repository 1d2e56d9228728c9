import type { ActionsHere } from "../../actionsHere.ts";
import { type Action, addressFor, isHere, isLink } from "../../model/actions.ts";
import { type Route, routeOf } from "../../model/route.ts";
import { go } from "../../router.ts";
import { isUsable, takeThing, thingsNamed } from "./thingsNamed.ts";

/** What asking for an action does from where somebody is. */
export interface Doable {
  readonly action: Action;
  /** `here`: at once; `not now`: it stands on this page and cannot be done; `elsewhere`: another page is opened. */
  readonly state: "here" | "not now" | "elsewhere";
  readonly run: () => void;
}

/** Handlers of the page come first; without one what bears the action's name is pressed, or shown where several do. */
export function doableOf(action: Action, route: Route | undefined, actions: ActionsHere): Doable {
  const handler = actions.find(action.id);
  if (handler) return { action, state: handler.enabled ? "here" : "not now", run: handler.run };
  const leads = addressFor(action);
  if (isLink(action) || !isHere(action, route)) return { action, state: "elsewhere", run: () => open(leads) };
  const things = thingsNamed(action.says ?? action.name).filter(isUsable);
  const [first] = things;
  if (!first) return { action, state: "not now", run: () => undefined };
  // With several of one name, such as one for each row, somebody has to say which is meant.
  return { action, state: "here", run: () => takeThing(first, { press: things.length === 1 }) };
}

function open(address: string): void {
  const route = routeOf(address);
  if (route) go(route);
  else location.assign(address); // a page of the server's own
}
