import { type PressureUnit, pressureIn } from "../../../decoders/units.ts";
import type { LotBody, LotChangeBody } from "../../../server/http/wire/lots.ts";
import type { BoxUnits } from "../draft.ts";
import type { BoxKeys, Typing } from "../keptDraft.ts";
import { numberTyped, pressureTyped } from "../typed.ts";

/** What a box may be read from and written into. */
export type LotEntries = Pick<LotBody, keyof LotChangeBody | "id">;
/** Entries that are to be written. */
export type LotChange = Partial<
  Omit<LotEntries, "id" | "fills"> & {
    /** One that ends at `now` ends by the server's clock. */
    readonly fills: NonNullable<LotChangeBody["fills"]>;
  }
>;
/** What boxes are read from: none of them is about a fill. */
type BoxEntries = Omit<LotEntries, "fills">;

type WordKey =
  | "title"
  | "supplier"
  | "part"
  | "drawn"
  | "testedBy"
  | "remarks"
  | "golden"
  | "limits.identity"
  | "limits.layout"
  | "gauge.name"
  | "gauge.calibratedOn"
  | "fixture.notes";
type NumberKey =
  | "quantity"
  | "sample"
  | "leastReadings"
  | "ambientKpa"
  | "altitudeM"
  | "limits.pressureKpa"
  | "limits.pressurePercent"
  | "limits.temperatureC"
  | "limits.carrierHz"
  | "limits.carrierOff"
  | "limits.deviationHz"
  | "limits.deviationOffHz"
  | "limits.symbolRate"
  | "limits.symbolRateOffPercent"
  | "limits.levelDb"
  | "limits.wakeSeconds"
  | "limits.telegramsPerWakeLeast"
  | "limits.telegramsPerWakeMost"
  | "gauge.errorKpa"
  | "gauge.coverage"
  | "gauge.resolutionKpa"
  | "gauge.temperatureErrorC"
  | "gauge.temperatureResolutionC"
  | "rule.multiple"
  | "rule.falseAccept"
  | "rule.falseReject"
  | "plan.accept"
  | "plan.goodPercent"
  | "plan.producerRiskPercent"
  | "plan.badPercent"
  | "plan.consumerRiskPercent"
  | "fixture.ratedKpa"
  | "fixture.carrierErrorPpm"
  | "fixture.distanceM"
  | "fixture.antennaGainDbi"
  | "fixture.fullScaleDbm";
type PlainKey = WordKey | NumberKey;
type SpecimenKey = `specimen.${number}.label` | `specimen.${number}.note` | `specimen.${number}.leftOut`;
type SetPointKey = `setPoint.${number}`;

/** A box of a lot. */
export type LotKey = PlainKey | SpecimenKey | SetPointKey;
export type LotDraft = Readonly<Record<LotKey, string>>;

type Read = { readonly ok: true; readonly change: LotChange } | { readonly ok: false; readonly says: string };

interface Box {
  /** As it is called where it does not stand above its box. */
  readonly name: string;
  readonly text: (lot: BoxEntries, units: BoxUnits) => string;
  readonly read: (text: string, units: BoxUnits, lot: BoxEntries) => Read;
}

/** What stands in the boxes of a lot. */
export function lotDraft(lot: BoxEntries, units: BoxUnits): LotDraft {
  const texts: Partial<Record<LotKey, string>> = {};
  for (const key of keysOf(lot)) texts[key] = boxOf(key).text(lot, units);
  return texts as LotDraft; // each key that the lot has boxes for
}

/** The entries that were typed anew, and of those that cannot be written what would do. */
export function lotTyped(
  draft: LotDraft,
  stored: LotDraft,
  units: BoxUnits,
  body: BoxEntries,
): { readonly change: LotChange; readonly wrong: Typing<LotKey> } {
  let change: LotChange = {};
  const wrong: Partial<Record<LotKey, string>> = {};
  for (const key of Object.keys(draft)) {
    if (!isLotKey(key) || (draft[key] ?? "").trim() === (stored[key] ?? "").trim()) continue;
    // Two boxes of one entry add to each other.
    const read = boxOf(key).read((draft[key] ?? "").trim(), units, { ...body, ...change });
    if (read.ok) change = { ...change, ...read.change };
    else wrong[key] = read.says;
  }
  return { change, wrong };
}

/** What a box is called in a sentence. */
export function lotBoxName(key: LotKey): string {
  return boxOf(key).name;
}

/** A limit, an error or a set point as it stands in a box: as finely as it was written. */
export function fineInBox(kpa: number | null, unit: PressureUnit): string {
  return kpa === null ? "" : tidy(pressureIn(unit, kpa));
}

/** The list with one specimen's entry changed, or added where it had none. */
export function withSpecimen(
  specimens: LotEntries["specimens"],
  number: number,
  change: Partial<Omit<LotEntries["specimens"][number], "number">>,
): LotEntries["specimens"] {
  const before = specimens.find((one) => one.number === number) ?? {
    number,
    identity: null,
    body: "",
    label: "",
    note: "",
    leftOut: "",
  };
  const others = specimens.filter((one) => one.number !== number);
  return [...others, { ...before, ...change }].toSorted((a, b) => a.number - b.number);
}

/** The golden specimen as it is typed: `3` for one of this lot, `7Q4X/3` for one of another. */
function goldenWords(golden: LotEntries["golden"], lotId: string): string {
  if (golden === null) return "";
  return golden.lot === lotId ? String(golden.number) : `${golden.lot}/${golden.number}`;
}

const word = (
  name: string,
  of: (lot: BoxEntries) => string,
  put: (text: string, lot: BoxEntries) => LotChange,
): Box => ({
  name,
  text: of,
  read: (text, _units, lot) => ({ ok: true, change: put(text, lot) }),
});

type Limits = LotEntries["limits"];
type Gauge = LotEntries["gauge"];
type Fixture = LotEntries["fixture"];
type Plan = LotEntries["plan"];

/** How figures of one kind are typed and shown. */
interface Kind {
  readonly text: (value: number, units: BoxUnits, lot: BoxEntries) => string;
  readonly read: (text: string, units: BoxUnits, lot: BoxEntries) => ReturnType<typeof numberTyped>;
}

function number(
  name: string,
  kind: Kind,
  of: (lot: BoxEntries) => number | null,
  put: (value: number | null, lot: BoxEntries) => LotChange,
): Box {
  return {
    name,
    text: (lot, units) => {
      const value = of(lot);
      return value === null ? "" : kind.text(value, units, lot);
    },
    read(text, units, lot) {
      const typed = kind.read(text, units, lot);
      return typed.ok ? { ok: true, change: put(typed.value, lot) } : typed;
    },
  };
}

/** A number that has to be there: an empty box says so. */
function needed(
  name: string,
  kind: Kind,
  of: (lot: BoxEntries) => number | null,
  put: (value: number, lot: BoxEntries) => LotChange,
): Box {
  const box = number(name, kind, of, (value, lot) => (value === null ? {} : put(value, lot)));
  return {
    ...box,
    read: (text, units, lot) =>
      text === "" ? { ok: false, says: `${name} has to be there: type a number.` } : box.read(text, units, lot),
  };
}

const tidy = (value: number) => String(Number(value.toPrecision(6)));

function plain(least: number, most: number, what: string, scale = 1): Kind {
  return {
    text: (value) => tidy(value / scale),
    read(text) {
      const typed = numberTyped(text, least, most, what);
      return typed.ok && typed.value !== null
        ? { ok: true, value: Number((typed.value * scale).toPrecision(12)) }
        : typed;
    },
  };
}

function whole(least: number, most: number, what: string): Kind {
  const kind = plain(least, most, what);
  return {
    ...kind,
    read(text, units, lot) {
      const typed = kind.read(text, units, lot);
      return typed.ok && typed.value !== null && !Number.isInteger(typed.value)
        ? { ok: false, says: `${what} is a whole number.` }
        : typed;
    },
  };
}

function pressure(leastKpa: number, mostKpa: number, what: string): Kind {
  return {
    text: (kpa, { pressure: unit }) => fineInBox(kpa, unit),
    read: (text, { pressure: unit }) => pressureTyped(text, unit, leastKpa, mostKpa, what),
  };
}

/** A difference of temperatures: no zero point to move. */
function degrees(least: number, most: number, what: string): Kind {
  const scale = ({ temperature }: BoxUnits) => (temperature === "degC" ? 1 : 1.8);
  return {
    text: (value, units) => tidy(value * scale(units)),
    read(text, units) {
      const by = scale(units);
      const typed = numberTyped(text, least * by, most * by, `${what} in ${by === 1 ? "°C" : "°F"}`);
      return typed.ok && typed.value !== null ? { ok: true, value: Number((typed.value / by).toFixed(4)) } : typed;
    },
  };
}

/** In kHz or in ppm, as the lot has it. */
const CARRIER_OFF: Kind = {
  text: (value, _units, { limits }) => tidy(limits.carrierUnit === "ppm" ? value : value / 1000),
  read(text, units, lot) {
    return lot.limits.carrierUnit === "ppm"
      ? plain(0.1, 10_000, "How far the carrier may be off in ppm").read(text, units, lot)
      : plain(0.01, 10_000, "How far the carrier may be off in kHz", 1000).read(text, units, lot);
  },
};

const limit = <K extends keyof Limits>(key: K, value: Limits[K], { limits }: BoxEntries) => ({
  limits: { ...limits, [key]: value },
});
const onGauge = <K extends keyof Gauge>(key: K, value: Gauge[K], { gauge }: BoxEntries) => ({
  gauge: { ...gauge, [key]: value },
});
const onFixture = <K extends keyof Fixture>(key: K, value: Fixture[K], { fixture }: BoxEntries) => ({
  fixture: { ...fixture, [key]: value },
});
const onPlan = <K extends keyof Plan>(key: K, value: Plan[K], { plan }: BoxEntries) => ({
  plan: { ...plan, [key]: value },
});

type NumberIn<T> = { [K in keyof T]: number | null extends T[K] ? K : never }[keyof T];

const limitBox = (key: NumberIn<Limits>, name: string, kind: Kind): Box =>
  number(
    name,
    kind,
    ({ limits }) => limits[key],
    (value, lot) => limit(key, value, lot),
  );
const gaugeBox = (key: NumberIn<Gauge>, name: string, kind: Kind): Box =>
  number(
    name,
    kind,
    ({ gauge }) => gauge[key],
    (value, lot) => onGauge(key, value, lot),
  );
const fixtureBox = (key: NumberIn<Fixture>, name: string, kind: Kind): Box =>
  number(
    name,
    kind,
    ({ fixture }) => fixture[key],
    (value, lot) => onFixture(key, value, lot),
  );
const planBox = (key: keyof Plan, name: string, kind: Kind): Box =>
  needed(
    name,
    kind,
    ({ plan }) => plan[key],
    (value, lot) => onPlan(key, value, lot),
  );
const riskBox = (key: "falseAccept" | "falseReject", name: string): Box =>
  needed(
    name,
    plain(0.01, 40, `${name} in per cent`, 0.01),
    ({ rule }) => (rule.kind === "risk" ? rule[key] : null),
    (value, { rule }) => (rule.kind === "risk" ? { rule: { ...rule, [key]: value } } : {}),
  );

const BOXES: Readonly<Record<PlainKey, Box>> = {
  title: word(
    "Name of the lot",
    ({ title }) => title,
    (title) => ({ title }),
  ),
  supplier: word(
    "Supplier",
    ({ supplier }) => supplier,
    (supplier) => ({ supplier }),
  ),
  part: word(
    "Part",
    ({ part }) => part,
    (part) => ({ part }),
  ),
  drawn: word(
    "How the sample was drawn",
    ({ drawn }) => drawn,
    (drawn) => ({ drawn }),
  ),
  testedBy: word(
    "Tested by",
    ({ testedBy }) => testedBy,
    (testedBy) => ({ testedBy }),
  ),
  remarks: word(
    "Remarks",
    ({ remarks }) => remarks,
    (remarks) => ({ remarks }),
  ),
  golden: {
    name: "The golden specimen",
    text: (lot) => goldenWords(lot.golden, lot.id),
    read(text, _units, lot) {
      if (text === "") return { ok: true, change: { golden: null } };
      const match = /^(?:([0-9a-z]{2,20})\s*[/ ]\s*)?([1-9][0-9]{0,2})$/i.exec(text);
      if (!match) return { ok: false, says: "A number such as 3, or lot and number such as 7Q4X/3." };
      return { ok: true, change: { golden: { lot: match[1]?.toUpperCase() ?? lot.id, number: Number(match[2]) } } };
    },
  },
  "limits.identity": {
    name: "Sensor IDs of this part",
    text: ({ limits }) => limits.identity,
    read(text, _units, lot) {
      const pattern = text.toLowerCase().replace(/\s/g, "");
      return /^[0-9a-f?]{0,16}$/.test(pattern)
        ? { ok: true, change: limit("identity", pattern, lot) }
        : { ok: false, says: "Hex digits, and ? for any, such as 5e1?????." };
    },
  },
  "limits.layout": word(
    "Layout",
    ({ limits }) => limits.layout,
    (text, lot) => limit("layout", text, lot),
  ),
  "gauge.name": word(
    "Gauge",
    ({ gauge }) => gauge.name,
    (text, lot) => onGauge("name", text, lot),
  ),
  "gauge.calibratedOn": word(
    "Gauge calibrated on",
    ({ gauge }) => gauge.calibratedOn,
    (text, lot) => onGauge("calibratedOn", text, lot),
  ),
  "fixture.notes": word(
    "Notes on the fixture",
    ({ fixture }) => fixture.notes,
    (text, lot) => onFixture("notes", text, lot),
  ),
  quantity: number(
    "Quantity",
    whole(1, 10_000_000, "The quantity"),
    ({ quantity }) => quantity,
    (quantity) => ({
      quantity,
    }),
  ),
  sample: number(
    "Sample",
    whole(1, 500, "The sample"),
    ({ sample }) => sample,
    (sample) => ({ sample }),
  ),
  leastReadings: needed(
    "Readings at each set point",
    whole(1, 100, "The number of readings"),
    (lot) => lot.leastReadings,
    (leastReadings) => ({ leastReadings }),
  ),
  ambientKpa: number(
    "Barometer",
    pressure(30, 120, "The barometer"),
    (lot) => lot.ambientKpa,
    (ambientKpa) => ({
      ambientKpa,
    }),
  ),
  altitudeM: number(
    "Altitude",
    plain(-500, 6000, "The altitude in metres"),
    (lot) => lot.altitudeM,
    (altitudeM) => ({
      altitudeM,
    }),
  ),
  "limits.pressureKpa": limitBox("pressureKpa", "Limit of pressure", pressure(0.1, 500, "The limit")),
  "limits.pressurePercent": limitBox(
    "pressurePercent",
    "Limit of pressure, per cent",
    plain(0.01, 50, "The limit in per cent"),
  ),
  "limits.temperatureC": limitBox("temperatureC", "Limit of temperature", degrees(0.1, 50, "The limit")),
  "limits.carrierHz": limitBox("carrierHz", "Frequency", plain(1, 6000, "The frequency in MHz", 1e6)),
  "limits.carrierOff": limitBox("carrierOff", "Limit of frequency", CARRIER_OFF),
  "limits.deviationHz": limitBox("deviationHz", "Deviation", plain(0.1, 1000, "The deviation in kHz", 1000)),
  "limits.deviationOffHz": limitBox(
    "deviationOffHz",
    "Limit of deviation",
    plain(0.01, 1000, "The limit in kHz", 1000),
  ),
  "limits.symbolRate": limitBox("symbolRate", "Symbol rate", plain(1, 1e6, "The symbol rate")),
  "limits.symbolRateOffPercent": limitBox(
    "symbolRateOffPercent",
    "Limit of symbol rate",
    plain(0.01, 50, "The limit in per cent"),
  ),
  "limits.levelDb": limitBox("levelDb", "Limit of level", plain(0.1, 60, "The limit in dB")),
  "limits.wakeSeconds": limitBox("wakeSeconds", "Limit of the time to answer", plain(0.1, 600, "The time in seconds")),
  "limits.telegramsPerWakeLeast": limitBox(
    "telegramsPerWakeLeast",
    "Telegrams a wake at least",
    whole(1, 1000, "The number of telegrams"),
  ),
  "limits.telegramsPerWakeMost": limitBox(
    "telegramsPerWakeMost",
    "Telegrams a wake at most",
    whole(1, 1000, "The number of telegrams"),
  ),
  "gauge.errorKpa": gaugeBox("errorKpa", "Error of the gauge", pressure(0, 500, "The error")),
  "gauge.coverage": needed(
    "Coverage factor of the gauge",
    plain(1, 4, "The coverage factor"),
    ({ gauge }) => gauge.coverage,
    (value, lot) => onGauge("coverage", value, lot),
  ),
  "gauge.resolutionKpa": gaugeBox("resolutionKpa", "Finest step of the gauge", pressure(0, 100, "The finest step")),
  "gauge.temperatureErrorC": gaugeBox("temperatureErrorC", "Error of the thermometer", degrees(0, 50, "The error")),
  "gauge.temperatureResolutionC": gaugeBox(
    "temperatureResolutionC",
    "Finest step of the thermometer",
    degrees(0, 20, "The finest step"),
  ),
  "rule.multiple": needed(
    "Guard band",
    plain(0, 3, "The guard band"),
    ({ rule }) => (rule.kind === "guard" ? rule.multiple : null),
    (multiple, { rule }) => (rule.kind === "guard" ? { rule: { ...rule, multiple } } : {}),
  ),
  "rule.falseAccept": riskBox("falseAccept", "Risk of a bad one called within"),
  "rule.falseReject": riskBox("falseReject", "Risk of a good one called outside"),
  "plan.accept": planBox("accept", "Accepted with so many outside", whole(0, 500, "The number outside")),
  "plan.goodPercent": planBox("goodPercent", "A good lot", plain(0.01, 50, "A good lot in per cent outside")),
  "plan.producerRiskPercent": planBox(
    "producerRiskPercent",
    "Risk that a good lot is rejected",
    plain(0.1, 50, "The risk in per cent"),
  ),
  "plan.badPercent": planBox("badPercent", "A bad lot", plain(0.01, 100, "A bad lot in per cent outside")),
  "plan.consumerRiskPercent": planBox(
    "consumerRiskPercent",
    "Risk that a bad lot is accepted",
    plain(0.1, 50, "The risk in per cent"),
  ),
  "fixture.ratedKpa": fixtureBox("ratedKpa", "Rating of the pot", pressure(1, 2000, "The rating")),
  "fixture.carrierErrorPpm": needed(
    "Error of the receiver's reference",
    plain(0, 200, "The error in ppm"),
    ({ fixture }) => fixture.carrierErrorPpm,
    (value, lot) => onFixture("carrierErrorPpm", value, lot),
  ),
  "fixture.distanceM": fixtureBox("distanceM", "Distance to the antenna", plain(0.01, 100, "The distance in metres")),
  "fixture.antennaGainDbi": fixtureBox("antennaGainDbi", "Gain of the antenna", plain(-60, 30, "The gain in dBi")),
  "fixture.fullScaleDbm": fixtureBox(
    "fullScaleDbm",
    "Full scale at the antenna's socket",
    plain(-150, 100, "Full scale in dBm"),
  ),
};

const SPECIMEN_NAMES = { label: "label", note: "note", leftOut: "why it is left out" } as const;
const isPlain = (key: string): key is PlainKey => Object.hasOwn(BOXES, key);
const PLAIN_KEYS = Object.keys(BOXES).filter(isPlain);

function specimenOf(key: string) {
  const match = /^specimen\.([1-9][0-9]{0,2})\.(label|note|leftOut)$/.exec(key);
  if (!match) return undefined;
  return { number: Number(match[1]), entry: match[2] as keyof typeof SPECIMEN_NAMES };
}

function setPointOf(key: string): number | undefined {
  const match = /^setPoint\.([0-9]{1,2})$/.exec(key);
  return match ? Number(match[1]) : undefined;
}

function isLotKey(key: string): key is LotKey {
  return isPlain(key) || specimenOf(key) !== undefined || setPointOf(key) !== undefined;
}

/** What the device keeps of a lot. */
export const LOT_BOXES: BoxKeys<LotKey> = {
  isKey: isLotKey,
  isWord: (key) => specimenOf(key) !== undefined || WORD_KEYS.has(key),
};

const WORD_KEYS: ReadonlySet<string> = new Set<WordKey>([
  "title",
  "supplier",
  "part",
  "drawn",
  "testedBy",
  "remarks",
  "golden",
  "limits.identity",
  "limits.layout",
  "gauge.name",
  "gauge.calibratedOn",
  "fixture.notes",
]);

function keysOf(lot: BoxEntries & { readonly rows?: LotBody["rows"] }): LotKey[] {
  const numbers = new Set([...(lot.rows ?? []), ...lot.specimens].map((one) => one.number));
  return [
    ...PLAIN_KEYS,
    ...lot.setPoints.map((_, i): LotKey => `setPoint.${i}`),
    ...[...numbers].flatMap((n): LotKey[] => [`specimen.${n}.label`, `specimen.${n}.note`, `specimen.${n}.leftOut`]),
  ];
}

function boxOf(key: LotKey): Box {
  if (isPlain(key)) return BOXES[key];
  const specimen = specimenOf(key);
  if (specimen) {
    const { number: n, entry } = specimen;
    return word(
      `Specimen ${n}, ${SPECIMEN_NAMES[entry]}`,
      ({ specimens }) => specimens.find((one) => one.number === n)?.[entry] ?? "",
      (text, { specimens }) => ({ specimens: withSpecimen(specimens, n, { [entry]: text }) }),
    );
  }
  const at = setPointOf(key) ?? 0;
  return needed(
    `Set point ${at + 1}`,
    pressure(0, 2000, "A set point"),
    ({ setPoints }) => setPoints[at]?.kpa ?? null,
    (kpa, { setPoints }) => ({ setPoints: setPoints.map((one, i) => (i === at ? { ...one, kpa } : one)) }),
  );
}
