/**
 * What a generator yields, and `"interrupted"` at the end if the user stopped it before it was done. The generator is
 * then left where it stands: it may be waiting for a stream that never says anything again.
 */
export async function* untilInterrupted<T>(
  items: AsyncGenerator<T, void, undefined>,
  interrupted: Promise<void>,
): AsyncGenerator<T | "interrupted", void, undefined> {
  const stop = interrupted.then(() => "interrupted" as const);
  let left = false;
  try {
    for (;;) {
      const next = await Promise.race([stop, items.next()]);
      left = next === "interrupted";
      if (next === "interrupted") yield next;
      if (next === "interrupted" || next.done) return;
      yield next.value;
    }
  } finally {
    if (!left) await items.return();
  }
}
