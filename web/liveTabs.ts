import { openSource } from "./liveSource.ts";
import { createLiveCount, everythingAnew, type Told } from "./model/liveEvents.ts";

/** How long the tab that has the stream may take to say that it is still there. */
const ANSWER_MS = 1500;
const NAME = "wheelgram events";

/** What tabs of one browser say to each other. */
type Word = { readonly told: Told } | "is it there?" | "it is here";

/**
 * Tells one page of every event, once and in order, with as few streams as the browser allows: a browser opens no more
 * than six to one address, and the seventh tab would hang without a word.
 *
 * Where there are locks (a secure context), one tab has the stream and tells the others; when it goes, the next one goes
 * on from the last event that it heard of. Without them a hidden tab closes its own, and goes on when it is shown.
 */
export function tellThisTab(tell: (told: Told) => void): void {
  const count = createLiveCount();
  const take = (told: Told) => count.take(told).forEach(tell);
  const open = (hear: (told: Told) => void) => openSource(count.last, hear);
  if ("locks" in navigator && "BroadcastChannel" in globalThis) share(open, take);
  else whileShown(open, () => count.last() === undefined && tell(everythingAnew(0)), take);
}

type Open = (hear: (told: Told) => void) => () => void;

function share(open: Open, take: (told: Told) => void): void {
  const channel = new BroadcastChannel(NAME);
  const say = (word: Word) => channel.postMessage(word);
  let letGo: (() => void) | undefined; // while this tab has the stream
  let waiting = new AbortController();
  let silence: ReturnType<typeof setTimeout> | undefined;

  /** Settles when this tab no longer has the stream. */
  function have(): Promise<void> {
    return new Promise((resume) => {
      const close = open((told) => {
        say({ told });
        take(told);
      });
      letGo = () => {
        letGo = undefined;
        close();
        resume();
      };
    });
  }

  /** @param now Takes the stream from the tab that has it. */
  function queue(now = false): void {
    waiting.abort();
    const mine = new AbortController();
    waiting = mine;
    navigator.locks.request(NAME, now ? { steal: true } : { signal: mine.signal }, have).catch(() => {
      if (mine.signal.aborted) return;
      // Another tab took it because this one did not answer.
      letGo?.();
      queue();
    });
  }

  channel.addEventListener("message", ({ data }: MessageEvent<Word>) => {
    clearTimeout(silence);
    if (data === "is it there?") {
      if (letGo) say("it is here");
    } else if (data !== "it is here") take(data.told);
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden || letGo) return;
    say("is it there?");
    clearTimeout(silence);
    // A tab that a browser has put to sleep holds its lock and tells nothing.
    silence = setTimeout(() => queue(true), ANSWER_MS);
  });
  addEventListener("pagehide", () => letGo?.());
  addEventListener("pageshow", ({ persisted }) => persisted && queue());
  queue();
}

function whileShown(open: Open, mayHaveMissed: () => void, take: (told: Told) => void): void {
  let close: (() => void) | undefined;
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) {
      close?.();
      close = undefined;
    } else if (!close) {
      mayHaveMissed();
      close = open(take);
    }
  });
  if (!document.hidden) close = open(take);
}
