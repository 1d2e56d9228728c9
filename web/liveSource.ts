import { EVENTS_ADDRESS, REFUSED } from "./api.ts";
import { LIVE_KINDS, type Told } from "./model/liveEvents.ts";

/** A refused stream is asked for again by us; one that broke off, by the browser. */
const AGAIN_MS = 3000;

/**
 * Opens the server's stream of events, and goes on with it for as long as it takes.
 *
 * @param after The last event that is known, to be told what came since; `undefined` to begin with what happens now.
 * @returns Closes it.
 */
export function openSource(after: () => number | undefined, tell: (told: Told) => void): () => void {
  let source: EventSource | undefined;
  let timer: ReturnType<typeof setTimeout> | undefined;

  function open(): void {
    const number = after();
    // Once it is open the browser itself says with each return which event it saw last.
    const next = new EventSource(number === undefined ? EVENTS_ADDRESS : `${EVENTS_ADDRESS}?after=${number}`);
    source = next;
    for (const kind of LIVE_KINDS) {
      next.addEventListener(kind, (event: MessageEvent<string>) =>
        tell({ number: Number(event.lastEventId), kind, data: event.data }),
      );
    }
    next.addEventListener("error", () => {
      if (next.readyState !== EventSource.CLOSED || source !== next) return;
      dispatchEvent(new Event(REFUSED)); // whether it was us or something else is then asked
      timer = setTimeout(open, AGAIN_MS);
    });
  }

  open();
  return () => {
    clearTimeout(timer);
    source?.close();
    source = undefined;
  };
}
