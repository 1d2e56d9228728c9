import type { CAUTIONS } from "./exercise.ts";

const WORDS: Readonly<Record<(typeof CAUTIONS)[number], string>> = {
  wheel:
    "Work on a wheel follows the maker's procedure, and is for people who are trained for it. Lift a vehicle only at its lifting points, and let all air out before a bead is broken.",
  inflation:
    "Seat beads from a distance, with a clip-on chuck and in a cage or behind a barrier where the rules ask for one. Never go over the maximum on the sidewall. Never bleed a hot tyre to the cold figure.",
  vehicle: "Follow the vehicle maker's relearn procedure. Nobody works a tablet while driving.",
  transmission:
    "Wheelgram only receives. Whoever sends on these bands needs to meet the rules of the country; ask the authority before anything is put on air.",
};

export function cautionWords(caution: (typeof CAUTIONS)[number]): string {
  return WORDS[caution];
}
