import type { MakingBody } from "../../../server/http/wire/making.ts";

/** A part of what goes on air, as far as it lies in a row: pixels from the row's left end. */
export interface SymbolPart {
  readonly name: "preamble" | "sync" | "frame";
  readonly x: number;
  readonly width: number;
  /** `undefined` where it began in the row before. */
  readonly label: string | undefined;
}

export interface SymbolRow {
  readonly ribbon: string;
  readonly parts: readonly SymbolPart[];
  /** Where a bit of the frame begins; empty where bits differ in length. */
  readonly bitTicks: readonly number[];
}

export const SYMBOL_RIBBON = { highY: 4, lowY: 20, heightPx: 58 } as const;

const LEAST_SYMBOL_PX = 5;

/** Preamble, sync and frame as a ribbon in as many rows as they need. */
export function symbolRows({ symbols, bits }: Pick<MakingBody, "symbols" | "bits">, widthPx: number): SymbolRow[] {
  const parts = [
    { name: "preamble", text: symbols.preamble },
    { name: "sync", text: symbols.sync },
    { name: "frame", text: symbols.frame },
  ] as const;
  const all = parts.map(({ text }) => text).join("");
  const perRow = Math.max(16, Math.floor(widthPx / LEAST_SYMBOL_PX));
  const rows = Math.max(1, Math.ceil(all.length / perRow));
  const inRow = Math.ceil(all.length / rows);
  const symbolPx = Math.min(12, widthPx / inRow);
  const frameAt = symbols.preamble.length + symbols.sync.length;
  const perBit = symbolsABit(symbols.frame.length, bits.length);
  return Array.from({ length: rows }, (_, row) => {
    const [from, to] = [row * inRow, Math.min(all.length, (row + 1) * inRow)];
    let next = 0;
    const placed = parts.flatMap(({ name, text }): SymbolPart[] => {
      const [start, end] = [next, next + text.length];
      next = end;
      if (start >= to || end <= from || text.length === 0) return [];
      const left = Math.max(start, from);
      const label = start >= from ? `${name}, ${text.length} symbols` : undefined;
      return [{ name, x: (left - from) * symbolPx, width: (Math.min(end, to) - left) * symbolPx, label }];
    });
    const ticks = Array.from({ length: to - from }, (_, i) => from + i).filter(
      (symbol) => perBit !== undefined && symbol >= frameAt && (symbol - frameAt) % perBit === 0,
    );
    return {
      ribbon: ribbonPath(all.slice(from, to), symbolPx),
      parts: placed,
      bitTicks: ticks.map((symbol) => (symbol - from) * symbolPx),
    };
  });
}

/** A cut end may leave half a bit. */
function symbolsABit(frameSymbols: number, bits: number): number | undefined {
  return [1, 2].find((perBit) => frameSymbols === perBit * bits);
}

function ribbonPath(symbols: string, symbolPx: number): string {
  return Array.from(symbols, (symbol, i) => {
    const y = symbol === "1" ? SYMBOL_RIBBON.highY : SYMBOL_RIBBON.lowY;
    return `${i === 0 ? `M0 ${y}` : `V${y}`}H${((i + 1) * symbolPx).toFixed(1)}`;
  }).join("");
}
