/** Decides when a receiver is asked to send again. */
export interface Resends {
  /** From which sequence on it was asked to send again, or from where of that it is still missing something. */
  asked(): number | undefined;
  /** A line came. @param missingFrom First missing sequence after it. */
  heard(sequence: number, missingFrom: number | undefined): void;
  /** Asks if it is time to. */
  ask(missingFrom: number | undefined): void;
  /** A new start of the receiver: what was asked before no longer counts. */
  forget(): void;
  stop(): void;
}

const FIRST_WAIT_MS = 2000;
const LONGEST_WAIT_MS = 60_000;

/**
 * A receiver that was asked goes back and sends all of it again, so later gaps need no asking of their own; only when it
 * has gone back and come past the first gap once more, having filled some of it, is it asked anew. One that fills nothing,
 * or is silent, is asked again by the clock, less and less often: it may never be able to.
 */
export function createResends(send: (from: number) => void): Resends {
  let asked: number | undefined;
  let sent: number | undefined; // what was asked for, word for word
  let wentBack = false;
  let due = false;
  let last: number | undefined;
  let timer: NodeJS.Timeout | undefined;
  let waitMs = FIRST_WAIT_MS;

  function stop(): void {
    clearTimeout(timer);
    timer = undefined;
    asked = undefined;
    wentBack = false;
    due = false;
  }

  function sendNow(from: number): void {
    clearTimeout(timer);
    asked = from;
    sent = from;
    wentBack = false;
    due = false;
    timer = setTimeout(() => {
      waitMs = Math.min(2 * waitMs, LONGEST_WAIT_MS);
      sendNow(asked ?? from);
    }, waitMs);
    timer.unref();
    send(from);
  }

  return {
    asked: () => asked,
    heard(sequence, missingFrom) {
      if (last !== undefined && sequence <= last) wentBack = true;
      last = sequence;
      if (missingFrom === undefined || asked === undefined) return;
      if (missingFrom > asked) waitMs = FIRST_WAIT_MS; // it does answer
      asked = Math.max(asked, missingFrom); // what the clock asks for again is the first that is missing still
      if (wentBack && sequence > missingFrom) due = missingFrom !== sent;
    },
    ask(missingFrom) {
      if (missingFrom === undefined) stop();
      else if (asked === undefined || due) sendNow(missingFrom);
    },
    forget() {
      stop();
      last = undefined;
      waitMs = FIRST_WAIT_MS;
    },
    stop,
  };
}
