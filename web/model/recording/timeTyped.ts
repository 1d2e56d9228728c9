import { decimalsFor } from "./range.ts";

export type TimeTyped = { readonly ok: true; readonly seconds: number } | { readonly ok: false; readonly says: string };

const UNITS: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, µs: 1e-6, μs: 1e-6, us: 1e-6 };

/**
 * A moment that somebody typed: seconds with a point or a comma, or a number with `s`, `ms`, `µs` or `us` behind it.
 *
 * @param mostSeconds The recording's length.
 */
export function timeTyped(text: string, mostSeconds: number): TimeTyped {
  const match = /^([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*(s|ms|µs|μs|us)?$/i.exec(text.trim());
  const scale = match ? UNITS[(match[2] ?? "s").toLowerCase()] : undefined;
  const seconds = match && scale !== undefined ? Number(match[1]?.replace(",", ".")) * scale : Number.NaN;
  const decimals = decimalsFor(mostSeconds / 1000);
  // The end as it is shown may be rounded up.
  if (seconds >= 0 && seconds <= mostSeconds + 0.5 * 10 ** -decimals) {
    return { ok: true, seconds: Math.min(seconds, mostSeconds) };
  }
  const most = mostSeconds.toFixed(decimals);
  const because = Number.isNaN(seconds) ? "This is no time" : "This lies outside of the recording";
  return { ok: false, says: `${because}. Type 0 to ${most} seconds, such as 0.2137 or 213.7 ms.` };
}
