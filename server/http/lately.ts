/** What was worked out lately. */
export interface Lately<T> {
  /**
   * What `work` gives, or gave for the same name and marks. Who asks while it is worked on waits for the same.
   *
   * @param marks What it hangs on, each compared by itself.
   */
  readonly get: (name: string, marks: readonly unknown[], work: () => Promise<T>) => Promise<T>;
}

/** Keeps what was asked for last, up to `most` names. What fails is not kept. */
export function createLately<T>(most: number): Lately<T> {
  const kept = new Map<string, { readonly marks: readonly unknown[]; readonly result: Promise<T> }>();
  return {
    get(name, marks, work) {
      const before = kept.get(name);
      kept.delete(name);
      const isSame = before?.marks.length === marks.length && before.marks.every((one, i) => Object.is(one, marks[i]));
      const entry = isSame ? before : { marks, result: work() };
      kept.set(name, entry);
      for (const oldest of [...kept.keys()].slice(0, Math.max(0, kept.size - most))) kept.delete(oldest);
      entry.result.catch(() => {
        if (kept.get(name) === entry) kept.delete(name);
      });
      return entry.result;
    },
  };
}
