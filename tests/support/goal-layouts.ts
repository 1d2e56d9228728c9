import type { Layout } from "../../decoders/layouts/schema.ts";

/** The telegram that sensitivity is told for: 16 preamble bits, 8 sync bits, 80 bits with a CRC-16, Manchester, 10 kbit/s. */
function goalLayout(modulation: Layout["modulation"]): Layout {
  return {
    id: `goal-${modulation}`,
    title: `Goal telegram, ${modulation}`,
    origin: "invented",
    carrierHz: [433_920_000],
    modulation,
    ...(modulation === "fsk" && { deviationHz: 30_000 }),
    symbolRate: 20_000,
    lineCode: "manchester-ieee",
    preamble: { symbols: "10", repeat: 16 },
    sync: { symbols: "0101100110101001" },
    bits: 80,
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

export const goalFsk = goalLayout("fsk");
export const goalAsk = goalLayout("ask");
