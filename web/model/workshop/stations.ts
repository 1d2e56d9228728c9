import type { WorkedOut } from "../../../decoders/workshop/workOut.ts";
import { counted } from "../quantities.ts";

export const STATIONS = ["gather", "line-up", "what-moves", "name", "check", "prove"] as const;
export type StationName = (typeof STATIONS)[number];

/** What each station asks. */
export const QUESTIONS: Readonly<Record<StationName, { readonly title: string; readonly asks: string }>> = {
  gather: { title: "Gather", asks: "Which bursts belong together?" },
  "line-up": { title: "Line up", asks: "Where do they start, and what is constant?" },
  "what-moves": { title: "What moves", asks: "Which bits change with pressure, temperature, time and sensor?" },
  name: { title: "Name", asks: "Which bits are what?" },
  check: { title: "Check", asks: "Which check explains all frames?" },
  prove: { title: "Prove", asks: "Does it read the telegrams that were kept aside?" },
};

/** The station of an address such as `?at=check`; the first where it names none. */
export function stationOf(search: string): StationName {
  const named = new URLSearchParams(search).get("at");
  return STATIONS.find((one) => one === named) ?? "gather";
}

/** What a station has come to, in a few words. */
export function stateOf(station: StationName, worked: WorkedOut): string {
  const { groups, frames } = worked;
  if (station === "gather") {
    const chosen = groups.find((group) => group.chosen);
    return chosen ? counted(chosen.bursts.length, "burst") : "more bursts are needed";
  }
  if (!frames) return "not reached";
  switch (station) {
    case "line-up":
      return `${counted(frames.telegrams.length + frames.aside.length, "telegram")} of ${counted(frames.bitCount, "bit")}`;
    case "what-moves":
      return frames.senders ? counted(frames.senders.rows.length, "sensor") : "sensors not told apart";
    case "name":
      return counted(frames.fields.length, "field");
    case "check":
      return counted(frames.checks.filter(({ taken }) => taken).length, "check");
    case "prove": {
      const { hits, tested, doubts } = frames.proof;
      return doubts.length === 0 ? `${hits} of ${tested.length}, it holds` : `${hits} of ${tested.length}, in doubt`;
    }
  }
}

/** What the workshop says of a station. */
export function saysOf(station: StationName, { stations }: WorkedOut): readonly string[] {
  return stations.find(({ name }) => name.replaceAll(" ", "-") === station)?.says ?? [];
}
