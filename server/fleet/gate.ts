/** Lets many in at a time, or one alone. */
export interface Gate {
  /** Settles when it may begin; what it gives back ends it. */
  readonly enter: (alone: boolean) => Promise<() => void>;
}

/** Whoever wants to be alone waits for those before, and those after wait for it: first come, first served. */
export function createGate(): Gate {
  let inside: Promise<void>[] = [];
  let last: Promise<void> = Promise.resolve();
  return {
    async enter(alone) {
      let leave: () => void = () => undefined;
      const left = new Promise<void>((resume) => {
        leave = resume;
      });
      const before = last;
      if (alone) {
        const others = inside;
        inside = [];
        last = Promise.all([before, ...others, left]).then(() => undefined);
        await Promise.all([before, ...others]);
      } else {
        inside.push(left);
        void left.then(() => {
          inside = inside.filter((one) => one !== left);
        });
        await before;
      }
      return leave;
    },
  };
}
