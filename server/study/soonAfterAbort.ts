/** As long as an abort may be waited for. */
const SOON_MS = 500;

/** Settles a moment after an abort, never without one: a thread may not look up from a long burst, and nobody waits for it. */
export function soonAfterAbort(signal: AbortSignal): Promise<void> {
  return new Promise((resume) => {
    const soon = () => setTimeout(resume, SOON_MS).unref();
    if (signal.aborted) soon();
    else signal.addEventListener("abort", soon, { once: true });
  });
}
