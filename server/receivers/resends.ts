/** Decides when a receiver is asked to send again. */
export interface Resends {
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
 * has gone back and come past the first gap once more without filling it is it asked anew. Silence is asked again too,
 * less and less often.
 */
export function createResends(send: (from: number) => void): Resends {
  let asked: number | undefined;
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
    heard(sequence, missingFrom) {
      if (last !== undefined && sequence <= last) wentBack = true;
      last = sequence;
      if (missingFrom === undefined || asked === undefined) return;
      if (missingFrom > asked) waitMs = FIRST_WAIT_MS; // it does answer
      asked = Math.max(asked, missingFrom); // what the clock asks for again is the first that is missing still
      if (wentBack && sequence > missingFrom) due = true;
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
