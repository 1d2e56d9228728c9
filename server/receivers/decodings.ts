import type { Layout } from "../../decoders/layouts/schema.ts";
import { createDecoding, type Decoding, type DecodingOptions } from "./decoding.ts";
import type { DecodableLine } from "./decodingStep.ts";
import type { Marks } from "./marks.ts";

/** The decodings of one receiver, one for each of its starts. */
export interface Decodings {
  /** Goes on with what came up to a moment and is not decoded yet; RFC 3339. */
  readonly resume: (until: string) => void;
  /**
   * Lines of that boot are about to be kept.
   *
   * @param stream Whoever brings them.
   */
  readonly expect: (stream: object, boot: string, lowestSequence: number) => Promise<void>;
  /** They were kept. */
  readonly take: (boot: string, lines: readonly DecodableLine[]) => void;
  /** The stream is over. */
  readonly forget: (stream: object) => void;
  readonly useLayouts: (layouts: readonly Layout[]) => void;
  /** Settles when all that came so far is decoded and stored. */
  readonly rest: () => Promise<void>;
  /** No new ones begin from the call on: what comes now is decoded next time. */
  readonly stop: () => Promise<void>;
}

export interface DecodingsOptions extends Omit<DecodingOptions, "receiverName" | "boot"> {
  readonly receiverName: () => string;
  readonly marks: Marks;
}

/** Starts of a receiver that are at hand without anything to do. Those that copies may still come of are kept anyway. */
const MOST_IDLE = 8;

export function createDecodings(options: DecodingsOptions): Decodings {
  const { marks, receiverName } = options;
  const decodings = new Map<string, Decoding>(); // the one used last stands last
  const leaving = new Set<Promise<void>>();
  let { layouts } = options;
  let isEnding = false;

  function decodingOf(boot: string, until: string): Decoding {
    const known = decodings.get(boot);
    decodings.delete(boot);
    const decoding = known ?? createDecoding({ ...options, receiverName: receiverName(), boot, layouts }, until);
    decodings.set(boot, decoding);
    if (!known) letIdleGo();
    return decoding;
  }

  function letIdleGo(): void {
    const idle = [...decodings].filter(([, decoding]) => decoding.isIdle());
    for (const [boot, decoding] of idle.slice(0, -MOST_IDLE)) {
      decodings.delete(boot);
      const left: Promise<void> = decoding
        .stop()
        .catch(options.onFault)
        .then(() => void leaving.delete(left));
      leaving.add(left);
    }
  }

  return {
    resume(until) {
      for (const boot of marks.boots()) decodingOf(boot, until);
    },
    async expect(stream, boot, lowestSequence) {
      await marks.expect(stream, boot, lowestSequence);
      if (!isEnding) decodingOf(boot, "");
    },
    take(boot, lines) {
      // A start that is new at the very end is decoded next time: its mark says so.
      const decoding = isEnding ? decodings.get(boot) : decodingOf(boot, "");
      decoding?.take(lines);
    },
    forget: marks.forget,
    useLayouts(next) {
      layouts = next;
      for (const decoding of decodings.values()) decoding.useLayouts(next);
    },
    async rest() {
      await Promise.all([...decodings.values()].map((decoding) => decoding.rest()));
    },
    async stop() {
      isEnding = true;
      await Promise.all([...[...decodings.values()].map((decoding) => decoding.stop()), ...leaving]);
    },
  };
}
