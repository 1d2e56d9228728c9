import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { BurstBody, RecordingBody, StoredTelegramBody } from "../../../server/http/wire.ts";
import { type FrameBits, frameBits } from "../recording/frameBits.ts";
import { type Frame, firstChosen, framesOf } from "../recording/frames.ts";
import type { Pick } from "./address.ts";

export const LETTERS = "ABCDE";

/** Whose recording a pick means among those that are held. */
export type Meant =
  | { readonly kind: "held"; readonly pick: Pick; readonly recording: RecordingBody }
  | { readonly kind: "missing"; readonly pick: Pick }
  | { readonly kind: "several"; readonly pick: Pick; readonly names: readonly string[] };

export function meantBy(pick: Pick, recordings: readonly RecordingBody[]): Meant {
  const held = recordings.filter(({ hash }) => hash.startsWith(pick.hash));
  const [recording] = held;
  if (recording === undefined) return { kind: "missing", pick };
  if (held.length > 1) return { kind: "several", pick, names: held.map(({ name }) => name) };
  return { kind: "held", pick, recording };
}

/** One of those that are compared, with all that is known of it. */
export interface Picked {
  readonly letter: string;
  readonly recording: RecordingBody;
  readonly frames: readonly Frame[];
  readonly frame: Frame | undefined;
  readonly layout: Layout | undefined;
  readonly bits: FrameBits;
  /** The address asks for a frame that the recording does not have; another one stands in for it. */
  readonly isStandIn: boolean;
}

interface Records {
  readonly bursts: readonly BurstBody[];
  readonly telegrams: readonly StoredTelegramBody[];
}

export function picked(
  letter: string,
  recording: RecordingBody,
  { bursts, telegrams }: Records,
  pick: Pick,
  layoutOf: (id: string) => Layout | undefined,
): Picked {
  const frames = framesOf(bursts, telegrams);
  const asked = frames.find(({ id }) => id === pick.frame);
  const frame = asked ?? frames.find(({ look }) => look === "solid") ?? firstChosen(frames);
  const layoutId = frame?.telegram?.telegram.layout ?? frame?.burst.layout ?? undefined;
  return {
    letter,
    recording,
    frames,
    frame,
    layout: layoutId === undefined ? undefined : layoutOf(layoutId),
    bits: frame === undefined ? { source: "nothing" } : frameBits(frame, layoutOf),
    isStandIn: pick.frame !== undefined && asked === undefined,
  };
}
