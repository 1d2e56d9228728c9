import { createPool, type Pool } from "../work/pool.ts";

/** Threads that analyse recordings for a worker, each with a pool of its own, so that one that hangs can be ended. */
export interface Seats {
  readonly size: number;
  /** Waits for a thread that is free; `use` may ask for it to be ended, and another takes its place. */
  readonly with: <T>(use: (pool: Pool, end: () => Promise<void>) => Promise<T>) => Promise<T>;
  readonly stop: () => Promise<void>;
}

/** @param start Makes a pool of one thread. */
export function createSeats(size: number, start: () => Pool = () => createPool(1)): Seats {
  const free: Pool[] = Array.from({ length: size }, start);
  const all = new Set(free);
  const waiting: ((pool: Pool) => void)[] = [];

  function give(pool: Pool): void {
    const next = waiting.shift();
    if (next) next(pool);
    else free.push(pool);
  }

  return {
    size,
    async with(use) {
      let pool = free.pop() ?? (await new Promise<Pool>((resume) => waiting.push(resume)));
      try {
        return await use(pool, async () => {
          const old = pool;
          pool = start();
          all.delete(old);
          all.add(pool);
          await old.stop();
        });
      } finally {
        give(pool);
      }
    },
    async stop() {
      await Promise.all([...all].map((pool) => pool.stop()));
    },
  };
}
