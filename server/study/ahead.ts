import type { InputAnalysis } from "./analyseInput.ts";
import type { RegisteredInput } from "./input.ts";
import type { Kept } from "./kept.ts";

/** What is analysed while inputs are still being registered, so that nobody waits for the last hash. */
export interface Ahead {
  /** An input that is registered, in the order of the study. */
  readonly offer: (input: RegisteredInput) => void;
  /** Begins no more. */
  readonly end: () => void;
  /** Ends what is on its way, too; nothing is kept of it. */
  readonly stop: () => void;
  /** Takes over one that was begun; `undefined`: it was not, or somebody else has it. */
  readonly take: (index: number) => Begun | undefined;
}

export interface Begun {
  /** As of `analyseInput`. */
  readonly outcome: Promise<Kept | undefined>;
  /** Whoever takes it over listens to it from then on. */
  onProgress: (share: number) => void;
}

export type AnalyseAhead = (
  input: RegisteredInput,
  o: Pick<InputAnalysis, "signal" | "onProgress">,
) => Promise<Kept | undefined>;

/**
 * @param size How many are on their way at once.
 * @param analyse As `analyseInput`.
 */
export function createAhead(size: number, analyse: AnalyseAhead): Ahead {
  const stopping = new AbortController();
  const waiting: RegisteredInput[] = [];
  const begun = new Map<number, Begun>();
  let [onTheWay, isOver] = [0, false];

  function next(): void {
    while (!isOver && onTheWay < size) {
      const input = waiting.shift();
      if (!input) return;
      onTheWay++;
      const onProgress = (share: number) => one.onProgress(share);
      const outcome = analyse(input, { signal: stopping.signal, onProgress });
      const one: Begun = { outcome, onProgress: () => undefined };
      begun.set(input.index, one);
      const over = () => {
        onTheWay--;
        next();
      };
      outcome.then(over, over); // whoever takes it over hears of its fault
    }
  }
  return {
    offer(input) {
      waiting.push(input);
      next();
    },
    end() {
      isOver = true;
    },
    stop() {
      isOver = true;
      stopping.abort();
    },
    take(index) {
      const one = begun.get(index);
      begun.delete(index);
      return one;
    },
  };
}
