import type { Derivation } from "./derive.ts";
import { type FieldFinding, straight } from "./fields.ts";
import { figuresBy, type GaugeReading } from "./gaugeLog.ts";
import { rowsOf } from "./rows.ts";

/** A recording that would settle something, and about how many questions of yes or no it would settle. */
export interface Suggestion {
  readonly ask: string;
  readonly because: string;
  readonly bits: number;
}

/** Figures that go together more than this cannot be told from each other. */
const TOGETHER = 0.9;
/** So many senders make it unlikely that an identity's bit is the same in all. */
const MANY_SENDERS = 4;

/** What to record next, the most telling first: reckoned from what the bursts so far leave open. */
export function nextRecordings(
  { checks, linearRule, senders, fields, telegrams, movement }: Derivation,
  log: readonly GaugeReading[],
): readonly Suggestion[] {
  const found: Suggestion[] = [];
  const count = senders?.count ?? 1;
  const constant = movement.filter(({ likeness }) => likeness === "constant").length;
  if (count < MANY_SENDERS) {
    // A bit that is the same in all of n senders may be one of theirs with 2^(1-n).
    const open = constant * 2 ** (1 - count);
    const because = senders ? `Only ${count} sensors were heard.` : "No bits tell sensors apart so far.";
    found.push({ ask: "A few telegrams of another sensor.", because, bits: open });
  }
  if (checks.length === 0) {
    const rows = rowsOf(telegrams.map(({ bits }) => bits));
    const moving = rows.moves.reduce((sum, bit) => sum + bit, 0);
    const missing = Math.max(0, moving + 8 - rows.frames.length);
    const ask = `${Math.max(4, Math.min(40, missing))} more telegrams that differ, at other pressures and of other sensors.`;
    const because = linearRule
      ? "Some bits follow from the others, but not so far by a rule with a name."
      : `No check was found in ${rows.frames.length} telegrams that differ.`;
    found.push({ ask, because, bits: Math.min(16, missing) });
  }
  const kPa = log.flatMap((one) => (one.kPa === undefined ? [] : [one.kPa]));
  const both = log.flatMap(({ kPa, degC }) => (kPa === undefined || degC === undefined ? [] : [[kPa, degC] as const]));
  const line = straight(
    Float64Array.from(both, ([pressure]) => pressure),
    Float64Array.from(both, ([, temperature]) => temperature),
  );
  const together = Math.abs(line?.correlation ?? 0);
  if (both.length >= 3 && together > TOGETHER) {
    const because = `Pressure and temperature rose and fell together (correlation ${together.toFixed(2)}).`;
    found.push({
      ask: "One more at another pressure, same temperature.",
      because,
      bits: -Math.log2(1 - Math.min(0.999, together)),
    });
  }
  for (const quantity of ["pressure", "temperature"] as const) {
    const field = fields.fields.find((one) => one.quantity === quantity);
    if (field) found.push(...about(field));
    else if (quantity === "pressure") {
      const distinct = new Set(kPa.map((figure) => Math.round(figure / 5))).size;
      const ask =
        distinct < 3
          ? "One more at another pressure, with the gauge read."
          : "More telegrams while the pressure changes, with the gauge read.";
      const measured = figuresBy(log, "pressure", fields.clockSeconds, fields.carrying);
      const isApart = kPa.length > 0 && telegrams.every((telegram) => measured(telegram) === undefined);
      const because =
        kPa.length === 0
          ? "No gauge was read."
          : isApart
            ? "None of the readings falls on a telegram: look at their days and clocks."
            : `No bits follow the ${distinct} pressures that were read.`;
      found.push({ ask, because, bits: 8 / Math.max(1, distinct) });
    }
  }
  return found.filter(({ bits }) => bits >= 0.05).sort((a, b) => b.bits - a.bits);
}

/** Nobody is asked to go beyond these, in kPa and °C, whatever it would tell; common practice, no source. */
const SAFE = { pressure: [0, 400], temperature: [-20, 70] } as const;

/** At the figure where what is left open says most different things. */
function about({
  quantity,
  bits,
  signed,
  fit,
  points,
  constants: [best, ...others],
  rivals,
}: FieldFinding): Suggestion[] {
  if (!best) return [];
  const found: Suggestion[] = [];
  const unit = quantity === "pressure" ? "kPa" : "°C";
  const limit = quantity === "pressure" ? " Never beyond what tyre and rim are made for." : "";
  const spread = 2 * Math.sqrt(fit.sxx / Math.max(1, points));
  const seen = [fit.meanX - spread, fit.meanX + spread].map((raw) => best.siScale * raw + best.siOffset);
  const [least, most] = [Math.min(...seen), Math.max(...seen)];
  const near = others.filter(({ total }) => total < best.total + 3);
  const span = Math.max(20, most - least);
  // How far apart the likely scales are at a figure, in steps; beyond what was seen they part.
  const apart = (figure: number) => {
    const raw = (figure - best.siOffset) / best.siScale;
    return Math.max(
      0,
      ...near.map(({ siScale, siOffset }) => Math.abs(siScale * raw + siOffset - figure) / Math.abs(best.siScale)),
    );
  };
  const [coldest, hottest] = SAFE[quantity];
  const [low, high] = [Math.max(coldest, least - span), Math.min(hottest, most + span)];
  const at = apart(low) > apart(high) ? low : high;
  if (apart(at) > 1) {
    const because = `${near.length + 1} scales fit the ${quantity} so far.`;
    found.push({
      ask: `One more at about ${Math.round(at / 10) * 10} ${unit}.${limit}`,
      because,
      bits: Math.log2(near.length + 1),
    });
  }
  if (rivals.length > 0) {
    const because = `${rivals.length + 1} stretches of bits fit the ${quantity} so far.`;
    found.push({ ask: `Telegrams at three more figures of ${quantity}.`, because, bits: Math.log2(rivals.length + 1) });
  }
  const top = best.siScale * (2 ** (bits - (signed ? 1 : 0)) / 2) + best.siOffset;
  if (top > most && top < Math.min(hottest, most + 3 * span)) {
    const because = `The highest bit of the ${quantity} was never 1.`;
    found.push({ ask: `One more above ${Math.round(top)} ${unit}.${limit}`, because, bits: 1 });
  }
  return found;
}
