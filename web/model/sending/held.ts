/** What is held to the receiver. It changes words and the carriers that are held against, never what is measured. */
export const HELD = ["wheel sensor", "remote key", "something else"] as const;
export type Held = (typeof HELD)[number];

interface HeldWords {
  /** One time that it is made to send: a wake, a press. */
  readonly once: string;
  /** What to do now. */
  readonly now: string;
  /** The button for one that brought nothing. */
  readonly missed: string;
  readonly nearer: string;
}

export const HELD_WORDS: Readonly<Record<Held, HeldWords>> = {
  "wheel sensor": {
    once: "wake",
    now: "Wake it now, within 30 cm of the receiver.",
    missed: "I woke it, nothing came",
    nearer: "Wake it right beside the receiver: a standing sensor usually answers once per wake.",
  },
  "remote key": {
    once: "press",
    now: "Press its button now, about 1 m from the receiver.",
    missed: "I pressed, nothing came",
    nearer: "Hold the key within 30 cm of the receiver and press for a full second.",
  },
  "something else": {
    once: "try",
    now: "Make it send now, about 1 m from the receiver.",
    missed: "I tried, nothing came",
    nearer: "Hold it within 30 cm of the receiver and make it send for a full second.",
  },
};

/** `1 press`, `4 presses`. */
export function timesWords(held: Held, count: number): string {
  const { once } = HELD_WORDS[held];
  const many = { wake: "wakes", press: "presses", try: "tries" }[once] ?? once;
  return `${count} ${count === 1 ? once : many}`;
}
