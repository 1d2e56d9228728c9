import type { Layout } from "../../decoders/layouts/schema.ts";

/**
 * Layouts by which sensitivity is measured: 16 bits of preamble, 8 of sync and 80 of frame, Manchester at 10 kbit/s, the
 * last 16 bits a check. With copies, each follows the one before after 40 ms.
 */
export function measuredLayout(modulation: "ask" | "fsk", copies = 1): Layout {
  return {
    id: `measured-${modulation}-${copies}`,
    title: "Telegrams of 80 bits by which sensitivity is measured",
    origin: "invented",
    carrierHz: [433_920_000],
    modulation,
    ...(modulation === "fsk" ? { deviationHz: 40_000 } : {}),
    symbolRate: 20_000,
    lineCode: "manchester-ieee",
    preamble: { symbols: "10", repeat: 16 },
    // 00101101 as bits.
    sync: { symbols: "1010011001011001" },
    bits: 80,
    ...(copies > 1 ? { repeats: { count: copies, gapSeconds: 0.04 } } : {}),
    fields: [
      { name: "sensor", at: 0, bits: 32, type: "identity" },
      { name: "rest", at: 32, bits: 32, type: "unsigned" },
    ],
    checks: [
      {
        kind: "crc",
        width: 16,
        poly: "0x1021",
        init: "0xffff",
        refin: false,
        refout: false,
        xorout: "0x0000",
        covers: [[0, 64]],
        at: 64,
      },
    ],
  };
}
