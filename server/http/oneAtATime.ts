/** Runs one piece of work after another, each when all before it have ended, well or not. */
export type OneAtATime = <T>(work: () => Promise<T>) => Promise<T>;

export function createOneAtATime(): OneAtATime {
  let last: Promise<unknown> = Promise.resolve();
  return (work) => {
    const done = last.then(work);
    last = done.catch(() => undefined); // told to whoever waits for it
    return done;
  };
}
