import {
  ANTENNAS,
  INTERFERERS,
  LINK_RANGES,
  type LinkNumber,
  type LinkSettings,
  PATHS,
  POWERS,
  RECEIVING_ANTENNAS,
  TUNINGS,
} from "../../../decoders/radio/link.ts";
import { KEYING_NAMES, KEYINGS } from "../../../decoders/radio/telegram.ts";

/** What the page begins with: a periodic sender at its limit in the US, heard on open ground. */
export const FIRST_SETTINGS: LinkSettings = {
  distanceM: 3,
  moreLossDb: 0,
  sensorHeightM: 0.3,
  receiverHeightM: 1,
  reflection: -0.9,
  loopAreaMm2: 408,
  ownDbm: 0,
  noiseFigureDb: 6,
  bandwidthKhz: 200,
  interfererDbm: -100,
  interfererOffsetKhz: 60,
  keying: "fsk-plain",
  antenna: "loop",
  power: "us-periodic",
  path: "free-space",
  receivingAntenna: "isotropic",
  tuned: "own",
  interferer: "none",
};

/** A number that is set by a slider and by a box. */
export interface NumberSetting {
  readonly key: LinkNumber;
  readonly label: string;
  readonly unit: string;
  readonly decimals: number;
  /** Each step of the slider is so many times the one before. */
  readonly isLog?: true;
}

export const NUMBER_SETTINGS: Readonly<Record<LinkNumber, NumberSetting>> = {
  distanceM: { key: "distanceM", label: "Distance", unit: "m", decimals: 1, isLog: true },
  moreLossDb: { key: "moreLossDb", label: "Lost in rim, tyre and body", unit: "dB", decimals: 1 },
  sensorHeightM: { key: "sensorHeightM", label: "Height of the sensor", unit: "m", decimals: 2, isLog: true },
  receiverHeightM: { key: "receiverHeightM", label: "Height of the receiver", unit: "m", decimals: 2, isLog: true },
  reflection: { key: "reflection", label: "What the ground gives back", unit: "", decimals: 2 },
  loopAreaMm2: { key: "loopAreaMm2", label: "Area of the loop", unit: "mm²", decimals: 0, isLog: true },
  ownDbm: { key: "ownDbm", label: "Power into the antenna", unit: "dBm", decimals: 1 },
  noiseFigureDb: { key: "noiseFigureDb", label: "Noise figure", unit: "dB", decimals: 1 },
  bandwidthKhz: { key: "bandwidthKhz", label: "Bandwidth", unit: "kHz", decimals: 0, isLog: true },
  interfererDbm: { key: "interfererDbm", label: "Its level at the receiver", unit: "dBm", decimals: 1 },
  interfererOffsetKhz: {
    key: "interfererOffsetKhz",
    label: "From the middle of the band",
    unit: "kHz",
    decimals: 0,
  },
};

type Choice = Exclude<keyof LinkSettings, LinkNumber>;

/** What can be chosen, in words; the address has the names. */
export const CHOICES = {
  keying: KEYING_NAMES.map((name) => [name, KEYINGS[name].says] as const),
  antenna: wordsFor(ANTENNAS, {
    loop: "Small loop of 1 mm wire",
    "quarter-wave": "Quarter-wave rod on metal",
    isotropic: "Isotropic, the same to all sides",
  }),
  power: wordsFor(POWERS, {
    "us-periodic": "47 CFR 15.231(e), periodic",
    "us-button": "47 CFR 15.231(b), at a press",
    europe: "Europe, 10 mW e.r.p.",
    own: "As I set it",
  }),
  path: wordsFor(PATHS, { "free-space": "Free space", "two-rays": "Over ground, two rays" }),
  receivingAntenna: wordsFor(RECEIVING_ANTENNAS, {
    isotropic: "Isotropic, the same to all sides",
    "quarter-wave": "Quarter-wave rod on metal",
  }),
  tuned: wordsFor(TUNINGS, {
    own: "Each to its own band",
    "315": "Both to 315.00 MHz",
    "433": "Both to 433.92 MHz",
  }),
  interferer: wordsFor(INTERFERERS, {
    none: "None",
    "315": "At 315 MHz",
    "433": "At 433 MHz",
    both: "In both bands",
  }),
} as const satisfies { readonly [Key in Choice]: readonly (readonly [LinkSettings[Key], string])[] };

function wordsFor<Name extends string>(names: readonly Name[], words: Readonly<Record<Name, string>>) {
  return names.map((name) => [name, words[name]] as const);
}

const VERSION = "1";

/** What an address such as `?v=1&distanceM=30&power=europe` sets; what it does not say is as the page begins. */
export function settingsOf(search: string): LinkSettings {
  const query = new URLSearchParams(search);
  if (query.get("v") !== VERSION) return FIRST_SETTINGS;
  const number = (key: LinkNumber) => numberIn(query.get(key), key);
  return {
    distanceM: number("distanceM"),
    moreLossDb: number("moreLossDb"),
    sensorHeightM: number("sensorHeightM"),
    receiverHeightM: number("receiverHeightM"),
    reflection: number("reflection"),
    loopAreaMm2: number("loopAreaMm2"),
    ownDbm: number("ownDbm"),
    noiseFigureDb: number("noiseFigureDb"),
    bandwidthKhz: number("bandwidthKhz"),
    interfererDbm: number("interfererDbm"),
    interfererOffsetKhz: number("interfererOffsetKhz"),
    keying: nameIn(query.get("keying"), CHOICES.keying, FIRST_SETTINGS.keying),
    antenna: nameIn(query.get("antenna"), CHOICES.antenna, FIRST_SETTINGS.antenna),
    power: nameIn(query.get("power"), CHOICES.power, FIRST_SETTINGS.power),
    path: nameIn(query.get("path"), CHOICES.path, FIRST_SETTINGS.path),
    receivingAntenna: nameIn(query.get("receivingAntenna"), CHOICES.receivingAntenna, FIRST_SETTINGS.receivingAntenna),
    tuned: nameIn(query.get("tuned"), CHOICES.tuned, FIRST_SETTINGS.tuned),
    interferer: nameIn(query.get("interferer"), CHOICES.interferer, FIRST_SETTINGS.interferer),
  };
}

/** The query of settings: only what is not as the page begins; empty where nothing is. */
export function bandsSearch(settings: LinkSettings): string {
  const first: Readonly<Record<string, string | number>> = FIRST_SETTINGS;
  const differs = Object.entries(settings).filter(([key, value]) => first[key] !== value);
  return differs.length === 0 ? "" : `?${[["v", VERSION], ...differs].map((pair) => pair.join("=")).join("&")}`;
}

function nameIn<Name extends string>(
  text: string | null,
  options: readonly (readonly [Name, string])[],
  otherwise: Name,
): Name {
  return options.find(([name]) => name === text)?.[0] ?? otherwise;
}

function numberIn(text: string | null, key: LinkNumber): number {
  const [least, most] = LINK_RANGES[key];
  const value = text !== null && /^-?[0-9]+(\.[0-9]+)?$/.test(text) ? Number(text) : Number.NaN;
  return value >= least && value <= most ? value : FIRST_SETTINGS[key];
}

/** Steps of a slider, from end to end. */
export const SLIDER_STEPS = 400;

export function sliderPlace({ key, isLog }: NumberSetting, value: number): number {
  const [least, most] = LINK_RANGES[key];
  const share = isLog ? Math.log(value / least) / Math.log(most / least) : (value - least) / (most - least);
  return Math.round(SLIDER_STEPS * share);
}

/** The value at a place of a slider, with no more digits than its box shows. */
export function sliderValue({ key, isLog, decimals }: NumberSetting, place: number): number {
  const [least, most] = LINK_RANGES[key];
  const share = place / SLIDER_STEPS;
  const value = isLog ? least * (most / least) ** share : least + share * (most - least);
  return Math.min(most, Math.max(least, Number(value.toFixed(decimals))));
}

/** Why two-ray loss cannot be worked out; `undefined` where it can. */
export function impossible({ path, distanceM, sensorHeightM, receiverHeightM }: LinkSettings): string | undefined {
  const least = Math.abs(sensorHeightM - receiverHeightM);
  if (path !== "two-rays" || distanceM >= least) return undefined;
  return `The heights differ by ${Number(least.toFixed(2))} m, so the distance cannot be less. Take a longer distance, or other heights.`;
}
