import { mkdir, rm, stat } from "node:fs/promises";
import { join } from "node:path";

/** Files that a worker has fetched, by hash, within a bound. */
export interface Cache {
  /**
   * Hands over the path of a file, fetched where it is not there, and keeps it until `use` has settled.
   *
   * @param fetch Writes the file; `false`: there is none, and `use` gets `undefined`.
   */
  readonly with: <T>(
    hash: string,
    fetch: (to: string) => Promise<boolean>,
    use: (path: string | undefined) => Promise<T>,
  ) => Promise<T>;
  /** Of all that lies there. */
  readonly bytes: () => number;
}

interface Kept {
  readonly path: string;
  /** `undefined`: there was none to be fetched. */
  readonly fetched: Promise<number | undefined>;
  bytes: number;
  users: number;
}

/**
 * @param folder Of this worker alone: what is in it is taken away first, since a power cut may have left half a file.
 * @param mostBytes What lies there and is not in use goes, longest unused first, until no more than this is left.
 */
export async function openCache(folder: string, mostBytes: number): Promise<Cache> {
  await rm(folder, { recursive: true, force: true });
  await mkdir(folder, { recursive: true, mode: 0o700 });
  /** Longest unused first. */
  const kept = new Map<string, Kept>();
  let count = 0;
  const bytes = () => [...kept.values()].reduce((sum, one) => sum + one.bytes, 0);

  function begin(fetch: (to: string) => Promise<boolean>): Kept {
    // A name that was not there before: what went under the old one may still be on its way out.
    const path = join(folder, String(count++));
    const fetched = fetch(path).then(async (isThere) => (isThere ? (await stat(path)).size : undefined));
    return { path, fetched, bytes: 0, users: 0 };
  }

  return {
    bytes,
    async with(hash, fetch, use) {
      const one = kept.get(hash) ?? begin(fetch);
      kept.delete(hash);
      kept.set(hash, one);
      one.users++;
      let isThere = false;
      try {
        const size = await one.fetched;
        isThere = size !== undefined;
        one.bytes = size ?? 0;
        return await use(isThere ? one.path : undefined);
      } finally {
        one.users--;
        const drop = async (name: string, { path }: Kept) => {
          kept.delete(name);
          await rm(path, { force: true });
        };
        if (!isThere && kept.get(hash) === one) await drop(hash, one);
        for (const [name, other] of [...kept]) {
          if (bytes() > mostBytes && other.users === 0) await drop(name, other);
        }
      }
    },
  };
}
