import { z } from "zod";
import type { Store } from "../store/store.ts";

/** How far the lines of one start of a receiver are decoded. */
export interface Mark {
  /** What seconds count from, RFC 3339; `null` before the first line with a time. */
  readonly origin: string | null;
  /** Lines that came after this moment, RFC 3339, have to be decoded (again); empty: all of them. */
  readonly after: string;
  /** No such line has a lower sequence. */
  readonly from: number;
}

/** Marks of one receiver, by boot, kept in the store. */
export interface Marks {
  readonly boots: () => readonly string[];
  readonly of: (boot: string) => Mark;
  readonly set: (boot: string, mark: Mark) => Promise<void>;
  /**
   * Lines of that boot are about to be kept. Must settle before they are: whatever happens then, they will be found.
   *
   * @param stream Whoever brings them; what it brought before is with the decoding by now.
   */
  readonly expect: (stream: object, boot: string, lowestSequence: number) => Promise<void>;
  /** The stream is over, and the decoding has all of it. */
  readonly forget: (stream: object) => void;
}

const Shape = z.array(
  z.tuple([z.string(), z.strictObject({ origin: z.string().nullable(), after: z.string(), from: z.int().min(0) })]),
);

const START: Mark = { origin: null, after: "", from: 0 };
/** Starts of a receiver that are remembered beside those that speak; older ones are decoded by then. */
const MOST_BOOTS = 64;

export async function openMarks(store: Pick<Store, "setting" | "setSetting">, receiverId: string): Promise<Marks> {
  const name = `decoded ${receiverId}`;
  const coming = new Map<object, { readonly boot: string; readonly lowest: number }>();
  const marks = new Map(Shape.parse(JSON.parse((await store.setting(name)) ?? "[]")));

  async function set(boot: string, mark: Mark): Promise<void> {
    const lowest = [...coming.values()].filter((one) => one.boot === boot).map((one) => one.lowest);
    marks.delete(boot); // the newest stands last
    marks.set(boot, { ...mark, from: Math.min(mark.from, ...lowest) });
    const speaking = new Set([...coming.values()].map((one) => one.boot));
    const quiet = [...marks.keys()].filter((one) => !speaking.has(one));
    for (const oldest of quiet.slice(0, Math.max(0, quiet.length - MOST_BOOTS))) marks.delete(oldest);
    await store.setSetting(name, JSON.stringify([...marks]));
  }

  return {
    boots: () => [...marks.keys()],
    of: (boot) => marks.get(boot) ?? START,
    set,
    async expect(stream, boot, lowest) {
      coming.set(stream, { boot, lowest });
      const mark = marks.get(boot);
      if (!mark || mark.from > lowest) await set(boot, mark ?? START);
    },
    forget: (stream) => void coming.delete(stream),
  };
}
