import type { Layout } from "../../decoders/layouts/schema.ts";
import type { TelegramRecord } from "../../decoders/records.ts";
import type { JobCard } from "./jobCard.ts";
import { ANOTHER_BAND_HZ, middleOf } from "./siblings.ts";

/** What one sensor that was heard sends like. */
export interface Sender {
  readonly telegram: TelegramRecord;
  readonly layout: Layout | undefined;
  /** Loudest telegram of the visit over the noise. */
  readonly snrDb: number | null;
}

const WEAKER_DB = 10;
const LEAST_SIBLINGS = 2;

/**
 * What sets a sensor that answers apart from its siblings, or from what the vehicle expects, so far that the vehicle may
 * not hear it: said outright, a sentence each.
 */
export function outright(own: Sender, siblings: readonly Sender[], card: JobCard): string[] {
  const words: string[] = [];
  const hz = own.telegram.carrierHz;
  const home =
    card.expectedCarrierHz ?? most(siblings.map(({ telegram }) => Math.round(telegram.carrierHz / 1e6) * 1e6));
  if (home !== undefined && Math.abs(hz - home) > ANOTHER_BAND_HZ) {
    words.push(
      card.expectedCarrierHz === null
        ? `It answers on ${megahertz(hz)}, its siblings on ${megahertz(home)}: the vehicle may not hear it. Is it a part for another vehicle?`
        : `It answers on ${megahertz(hz)}, this vehicle expects sensors on ${megahertz(home)}: the vehicle will not hear it.`,
    );
  }
  const speaks = own.telegram.layout;
  const expected = card.expectedLayout || most(siblings.map(({ telegram }) => telegram.layout));
  if (words.length === 0 && expected !== undefined && expected !== "" && speaks !== expected) {
    words.push(`It speaks the layout ${speaks}, not ${expected}: the vehicle may not understand it.`);
  }
  const levels = siblings.flatMap(({ snrDb }) => (snrDb === null ? [] : [snrDb]));
  const middle = middleOf(levels);
  if (
    levels.length >= LEAST_SIBLINGS &&
    own.snrDb !== null &&
    middle !== undefined &&
    middle - own.snrDb >= WEAKER_DB
  ) {
    words.push(
      `It comes in only weakly, ${Math.round(middle - own.snrDb)} dB below its siblings: the receiver far from it, a neighbour's, shielded, or ageing.`,
    );
  }
  const state = own.layout?.fields.find(({ means }) => means === "state");
  const value = state && own.telegram.fields[state.name]?.value;
  if (typeof value === "string" && /stor|ship|sleep/i.test(value)) {
    words.push(`It says that it is in its state “${value}”: it wakes by pressure or motion, by its maker's procedure.`);
  }
  return words;
}

/** The value that most have, where at least two do and more than half. */
function most<T>(values: readonly T[]): T | undefined {
  const counts = new Map<T, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  const best = [...counts].toSorted((a, b) => b[1] - a[1])[0];
  return best && best[1] >= LEAST_SIBLINGS && 2 * best[1] > values.length ? best[0] : undefined;
}

function megahertz(hz: number): string {
  return `${(hz / 1e6).toFixed(hz % 1e6 === 0 ? 0 : 2)} MHz`;
}
