import type { ReceiverDayBody } from "../../server/http/wire.ts";

/** The last 24 hours of a receiver as a strip: places and widths are fractions of its length. */
export interface DayStrip {
  readonly parts: readonly {
    readonly at: number;
    readonly width: number;
    /** `unknown`: before anything is known of it. */
    readonly state: "listening" | "away" | "off" | "unknown";
    readonly title: string;
  }[];
  readonly ticks: readonly { readonly at: number; readonly label: string }[];
  /** The strip in a sentence. */
  readonly says: string;
}

const TICK_HOURS = 6;
const HOUR_MS = 3_600_000;

/** @param clock Writes a time of day, such as `14:03`. */
export function dayStrip({ from, to, states }: ReceiverDayBody, clock: (at: Date) => string): DayStrip {
  const [begin, end] = [Date.parse(from), Date.parse(to)];
  const place = (ms: number) => (ms - begin) / (end - begin);
  const first = states[0] === undefined ? end : Date.parse(states[0].since);
  const stretches = states.map(({ since, until, state }) => ({
    since: Date.parse(since),
    until: Date.parse(until),
    state: SHOWN[state],
  }));
  if (first > begin) stretches.unshift({ since: begin, until: first, state: "unknown" });
  const parts = merged(stretches).map(({ since, until, state }) => ({
    at: place(since),
    width: place(until) - place(since),
    state,
    title: `${clock(new Date(since))} to ${clock(new Date(until))}: ${STATE_WORDS[state]}`,
  }));
  const firstTick = Math.ceil(begin / (TICK_HOURS * HOUR_MS)) * TICK_HOURS * HOUR_MS;
  const ticks: { at: number; label: string }[] = [];
  for (let ms = firstTick; ms <= end; ms += TICK_HOURS * HOUR_MS) {
    ticks.push({ at: place(ms), label: clock(new Date(ms)) });
  }
  return { parts, ticks, says: saysOf(merged(stretches)) };
}

type Shown = DayStrip["parts"][number]["state"];

interface Stretch {
  readonly since: number;
  readonly until: number;
  readonly state: Shown;
}

const SHOWN: Readonly<Record<ReceiverDayBody["states"][number]["state"], Shown>> = {
  listening: "listening",
  connecting: "away",
  away: "away",
  stopped: "off",
  off: "off",
};

const STATE_WORDS: Readonly<Record<Shown, string>> = {
  listening: "listening",
  away: "not joined to us",
  off: "the server was off",
  unknown: "not known",
};

/** Neighbours that look the same are one. */
function merged(stretches: readonly Stretch[]): Stretch[] {
  const all: Stretch[] = [];
  for (const one of stretches) {
    const last = all.at(-1);
    if (last?.state === one.state) all[all.length - 1] = { ...last, until: one.until };
    else all.push(one);
  }
  return all.filter(({ since, until }) => until > since);
}

function saysOf(stretches: readonly Stretch[]): string {
  const total = (state: Shown) =>
    stretches.filter((one) => one.state === state).reduce((sum, { since, until }) => sum + until - since, 0);
  const listened = total("listening");
  const away = stretches.filter(({ state }) => state === "away");
  if (listened === 0) return "Did not listen in the last 24 hours.";
  const parts = [`Listened ${lasting(listened)} of the last 24 hours`];
  if (away.length > 0) {
    const longest = Math.max(...away.map(({ since, until }) => until - since));
    parts.push(`not joined ${away.length === 1 ? "once" : `${away.length} times`}, ${lasting(longest)} at the longest`);
  }
  if (total("off") > 0) parts.push(`the server was off for ${lasting(total("off"))}`);
  return `${parts.join("; ")}.`;
}

/** Such as `23 h 10 min`. */
function lasting(ms: number): string {
  const minutes = Math.round(ms / 60_000);
  if (minutes < 1) return "less than a minute";
  if (minutes < 60) return `${minutes} min`;
  const rest = minutes % 60;
  return rest === 0 ? `${Math.floor(minutes / 60)} h` : `${Math.floor(minutes / 60)} h ${rest} min`;
}
