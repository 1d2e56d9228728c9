import { emptyLot } from "../../server/bench/lot.ts";
import type { FigureBody, LotBody, SpecimenBody } from "../../server/http/wire/lots.ts";
import { lotBody as wholeLot } from "./lot-body.ts";

/** A specimen as the server gives it: heard, and off by 1 kPa where nothing else is asked for. */
export function specimen(number: number, more: Partial<SpecimenBody> = {}): SpecimenBody {
  return {
    number,
    identity: `5e10000${number.toString(16)}`,
    body: "",
    label: "",
    note: "",
    leftOut: "",
    state: "heard",
    says: "Heard; registered by its wake.",
    registeredBy: "wake",
    telegrams: 4,
    lastAt: `2026-11-25T09:00:${String(number).padStart(2, "0")}.000Z`,
    wakes: 1,
    flags: [],
    cells: [],
    missing: [],
    linearityKpa: null,
    hysteresisKpa: null,
    repeatabilityKpa: null,
    meanErrorKpa: null,
    carrierOffsetHz: null,
    carrierWalkHz: null,
    deviationHz: null,
    symbolRate: null,
    levelDb: null,
    wakeSeconds: null,
    telegramsPerWake: null,
    figures: [],
    verdict: "within",
    because: "All figures are within their limits.",
    ...more,
  };
}

/** A cell and its figure: an error with ± 1 kPa against ± 7 kPa. */
export function errorAt(
  setPoint: number,
  errorKpa: number,
  verdict: FigureBody["verdict"],
): Pick<SpecimenBody, "cells" | "figures"> {
  return {
    cells: [{ setPoint, readings: 3, meanKpa: 100 + errorKpa, errorKpa, expandedKpa: 1, verdict }],
    figures: [
      {
        key: "pressure",
        of: "Pressure at 100 kPa, up",
        setPoint,
        value: errorKpa,
        unit: "kPa",
        lower: -7,
        upper: 7,
        expanded: 1,
        acceptFrom: -6,
        acceptTo: 6,
        rejectBelow: -8,
        rejectAbove: 8,
        verdict,
        because: "By its error.",
      },
    ],
  };
}

/** A lot on which nobody has written yet, with nothing heard. */
export function lotBody(more: Partial<LotBody> = {}): LotBody {
  const stages: LotBody["stages"] = [
    { name: "set up", state: "now", says: "Still to enter: how good the gauge is." },
    { name: "register", state: "later", says: "0 of 3 heard." },
    { name: "set points", state: "later", says: "0 of 5 set points stood still." },
    { name: "decide", state: "later", says: "What is there so far can be looked at." },
  ];
  const nothing = { ...emptyLot(), stages, warnings: [], ratio: null, workedFills: [], others: [] };
  const first = { revision: 3, clock: "2026-11-25T09:01:00.000Z", unreadableBursts: 0 };
  return wholeLot({ count: 0, more: { ...nothing, ...first, ...more } });
}
