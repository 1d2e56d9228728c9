import { kpaFrom, type PressureUnit } from "../../decoders/units.ts";

/**
 * The gauge pressure in kPa that a line of a gauge tells: the number with a unit of pressure behind it, whatever else
 * stands in the line, as in `ST,GS,+ 230.4 kPa` and `16:10:25 T=21.3 C P=2,304 bar`; or, where nothing but one number
 * stands in it, that number in `unit`.
 *
 * @returns `undefined` where there is no such number, where several do not agree, where it is told to be absolute, or
 *   where no pressure gauge shows so much.
 */
export function gaugeLine(text: string, unit: PressureUnit): number | undefined {
  const line = text.replace(/\p{Cc}/gu, " ");
  if (/\babs(olute)?\b/i.test(line)) return undefined;
  const named = [...line.matchAll(WITH_UNIT)];
  if (named.some(([, , , , suffix = ""]) => suffix.toLowerCase().startsWith("a"))) return undefined;
  const told = named.map(([, sign, digits, of = ""]) => numberOf(sign, digits) * KPA_OF[of.toLowerCase()]!);
  const alone = BARE.exec(line);
  const kpa = told[0] ?? (alone ? kpaFrom(numberOf(alone[1], alone[2]), unit) : undefined);
  if (kpa === undefined || told.some((other) => Math.abs(other - kpa) > AGREE_KPA + AGREE_SHARE * Math.abs(kpa))) {
    return undefined;
  }
  return kpa >= LEAST_KPA && kpa <= MOST_KPA ? kpa : undefined;
}

/** A gauge in open air may show a little less than nothing. */
const LEAST_KPA = -100;
const MOST_KPA = 2000;
/** One pressure in two units is rounded twice. @source Common practice, no source. */
const AGREE_KPA = 0.5;
const AGREE_SHARE = 0.02;

const KPA_OF: Readonly<Record<string, number>> = {
  kpa: 1,
  hpa: 0.1,
  mpa: 1000,
  pa: 0.001,
  mbar: 0.1,
  bar: kpaFrom(1, "bar"),
  psi: kpaFrom(1, "psi"),
};

/** Neither the end of a longer number, a time or a name, nor behind a dash that joins it to one. */
const BEGIN = String.raw`(?<![\w.]|\d[,:]|[-+−]\s*)`;
const NUMBER = String.raw`([-+−]?)\s*(?<![\w.]|\d[,:])(\d+(?:[.,]\d+)?)`;
const UNIT = "(kpa|hpa|mpa|mbar|bar|psi|pa)";
/** Behind the unit: gauge or absolute. */
const SUFFIX = String.raw`(?:[\s_]*\(?(a|abs|absolute|g|gauge|rel)\)?)?(?![a-z\d])`;
const WITH_UNIT = new RegExp(BEGIN + NUMBER + String.raw`\s*` + UNIT + SUFFIX, "gi");
const BARE = /^[\s;,]*([-+−]?)\s*(\d+(?:[.,]\d+)?)[\s;,]*$/;

function numberOf(sign = "", digits = ""): number {
  return Number(digits.replace(",", ".")) * (sign === "-" || sign === "−" ? -1 : 1);
}
