import { circlePerimeterM } from "../../../decoders/radio/antennas.ts";
import type { LinkSettings, LinkWithErrors } from "../../../decoders/radio/link.ts";
import { crossoverM } from "../../../decoders/radio/pathLoss.ts";
import { KEYINGS, neededWidthHz } from "../../../decoders/radio/telegram.ts";
import { nearFieldM, quarterWaveM, wavelengthM } from "../../../decoders/radio/wavelength.ts";
import { figure, type Shown, signed } from "../quantities.ts";

/** A figure of one band, with what it is. */
export interface BandFigure {
  readonly name: string;
  readonly shown: Shown;
}

/** All figures of a band, in the order in which a telegram meets them. */
export function bandFigures(link: LinkWithErrors, settings: LinkSettings): readonly BandFigure[] {
  const { carrierHz, loop } = link;
  const one = (name: string, value: number, decimals: number, unit: string) => ({
    name,
    shown: { figure: figure(value, decimals), unit },
  });
  return [
    one("Wavelength", wavelengthM(carrierHz), 5, "m"),
    one("Quarter wave", 1000 * quarterWaveM(carrierHz), 1, "mm"),
    ...(loop
      ? [
          one("Loop sends away", 1000 * loop.radiationOhm, 3, "milliohm"),
          one("Loop's wire loses", 1000 * loop.lossOhm, 1, "milliohm"),
          one("Loop's efficiency", 100 * loop.efficiency, 2, "%"),
        ]
      : []),
    one("Antenna's gain", link.antennaGainDb, 2, "dBi"),
    one("Into the antenna", link.intoAntennaDbm, 2, "dBm"),
    one("Sent, e.i.r.p.", link.eirpDbm, 2, "dBm"),
    one("Loss in free space", link.freeSpaceDb, 2, "dB"),
    one("Loss by two rays", link.twoRayDb, 2, "dB"),
    one("Two rays change over at", crossoverM(carrierHz, settings.sensorHeightM, settings.receiverHeightM), 2, "m"),
    one("Received level", link.receivedDbm, 2, "dBm"),
    one("Noise", link.noiseDbm, 2, "dBm"),
    one("Signal over noise, SNR", link.snrDb, 2, "dB"),
    one("Eb/N0", link.ebN0Db, 2, "dB"),
    { name: "Bits that are wrong", shown: shareOf(link.bitError) },
    { name: "Telegrams that come through", shown: percentOf(link.success) },
  ];
}

/** One bit in so many; a share that is nearly nothing is said so. */
function shareOf(share: number): Shown {
  if (share < 1e-12) return { figure: "under 1", unit: "in 10¹²" };
  if (share > 0.1) return { figure: figure(100 * share, 1), unit: "%" };
  const many = 1 / share;
  const round = many < 1000 ? Math.round(many) : Number(many.toPrecision(2));
  return { figure: "1", unit: `in ${round.toLocaleString("en")}` };
}

/** In percent; only what is sure is 0 or 100. */
export function percentOf(share: number): Shown {
  const percent = 100 * share;
  if (percent === 0) return { figure: "0", unit: "%" };
  if (percent < 0.1) return { figure: "under 0.1", unit: "%" };
  if (percent > 99.9) return { figure: "over 99.9", unit: "%" };
  return { figure: figure(percent, 1), unit: "%" };
}

/** What changes from 315.00 to 433.92 MHz, in sentences. */
export function differenceWords([low, high]: readonly [LinkWithErrors, LinkWithErrors]): readonly string[] {
  const more = (a: number, b: number) => `${signed(b - a, 2)}\u202fdB`;
  const gain = high.antennaGainDb - low.antennaGainDb;
  return [
    `Loss in free space: ${more(low.freeSpaceDb, high.freeSpaceDb)}, at any distance.`,
    ...(low.loop ? [`The same loop: ${signed(gain, 2)}\u202fdB, since it is larger beside a shorter wave.`] : []),
    `Sent: ${more(low.eirpDbm, high.eirpDbm)}.`,
    `Received: ${more(low.receivedDbm, high.receivedDbm)}. That is what is left of it all.`,
  ];
}

/** Where a formula does not hold, or an entry is not what the rule is for. */
export function bandCautions(
  links: readonly [LinkWithErrors, LinkWithErrors],
  settings: LinkSettings,
): readonly string[] {
  const { distanceM, power, antenna, keying, bandwidthKhz } = settings;
  const [low, high] = links;
  const edgeM = nearFieldM(low.carrierHz);
  const turn = circlePerimeterM(settings.loopAreaMm2 * 1e-6);
  const needed = neededWidthHz(KEYINGS[keying]) / 1000;
  return [
    ...(distanceM < 3 * edgeM
      ? [`So near, a wave is hardly one yet: the field near the antenna ends at ${figure(edgeM, 2)} m.`]
      : []),
    ...(antenna === "loop" && turn > wavelengthM(high.carrierHz) / 3
      ? [`The loop's wire is ${figure(1000 * turn, 0)} mm long, over a third of the shorter wave: it is not small.`]
      : []),
    ...(power === "europe" ? ["Europe allows 10 mW e.r.p. at 433.92 MHz. 315.00 MHz is not a band for it there."] : []),
    ...(bandwidthKhz < 1.2 * needed
      ? [`The telegram needs about ${figure(needed, 0)} kHz. A carrier that is a little off is soon cut.`]
      : []),
  ];
}
