import type { LotBody, SpecimenBody } from "../wire/lots.ts";
import { paragraph, type Section } from "./document.ts";
import { area, type Drawing, hatching, line, roundMarks, type Shape, text } from "./drawing.ts";
import { type ErrorLimits, errorLimits } from "./errorLimits.ts";
import { counted, plain, withUnit } from "./shown.ts";
import { MARKS, verdictOf } from "./verdicts.ts";

/** Every error on one scale with the limits and what cannot be told between; specimens that were left out are not on it. */
export function errorSection(lot: LotBody): Section {
  const heading = "Errors on one scale";
  const specimens = lot.rows.filter((row) => verdictOf(row) !== "left out").map((row) => placed(lot, row));
  const dots = specimens.flatMap((one) => one.dots);
  if (dots.length === 0) {
    const why =
      "No figure: no specimen has an error yet, since each needs a fill of the pot and readings while it was settled.";
    return { heading, across: true, whole: true, blocks: [paragraph(why)] };
  }
  const scale = scaleOf(lot, dots);
  const title = finding(specimens, scale);
  const drawing = specimens.length <= MOST_ROWS ? rowByRow(specimens, scale) : spans(specimens, scale);
  return {
    heading,
    across: true,
    whole: true,
    blocks: [
      { kind: "figure", title, says: `${title} ${counted(specimens.length, "specimen")} on one scale.`, drawing },
      paragraph(key(specimens.length, lot.setPoints.length, scale)),
    ],
  };
}

interface Dot {
  readonly errorKpa: number;
  readonly expandedKpa: number;
  readonly limits: ErrorLimits | undefined;
  readonly verdict: SpecimenBody["verdict"] | null;
  readonly place: number;
  readonly places: number;
}

interface Placed {
  readonly specimen: SpecimenBody;
  readonly dots: readonly Dot[];
}

interface Scale {
  /** Where the limit is not one and the same, each error is a share of its own, in per cent. */
  readonly unit: "kPa" | "% of the limit";
  readonly limit: number | undefined;
  /** From where to where, either side of zero, the gauge alone leaves it open. */
  readonly zone: readonly [number, number] | undefined;
  readonly most: number;
  readonly valueOf: (dot: Dot) => number;
  readonly expandedOf: (dot: Dot) => number;
}

const WIDTH_PX = 718;
const LEFT_PX = 40;
const RIGHT_PX = 606;
const TOP_PX = 18;
const AXIS_PX = 36;
/** Of a specimen; a few have more room. */
const ROW_PX = 11.5;
const WIDE_ROW_PX = 20;
const FEW_ROWS = 10;
/** With more set points a specimen has one line for all of them. */
const MOST_LINES = 6;
/** With more specimens each is one line from its least to its greatest error. */
const MOST_ROWS = 40;
const SPANS_PX = 400;
/** Errors further out than that many limits stand at the edge, with their figure. */
const MOST_LIMITS = 3;

function placed(lot: LotBody, specimen: SpecimenBody): Placed {
  const places = lot.setPoints.length;
  const dots = specimen.cells.flatMap(({ setPoint, errorKpa, expandedKpa, verdict }) =>
    errorKpa === null
      ? []
      : [
          {
            errorKpa,
            expandedKpa: expandedKpa ?? 0,
            verdict,
            place: setPoint,
            places,
            limits: errorLimits(lot, specimen, setPoint),
          },
        ],
  );
  return { specimen, dots };
}

function scaleOf({ ratio }: LotBody, dots: readonly Dot[]): Scale {
  const eithers = dots.flatMap(({ limits }) => (limits ? [limits.upperKpa] : []));
  const [least, most] = [Math.min(...eithers), Math.max(...eithers)];
  const relative = eithers.length > 0 && most - least > 1e-6;
  const shareOf = (kpa: number, { limits }: Dot) => (relative && limits ? (100 * kpa) / limits.upperKpa : kpa);
  const limit = eithers.length === 0 ? undefined : relative ? 100 : most;
  const reach = Math.max(...dots.map((dot) => Math.abs(shareOf(dot.errorKpa, dot)) + shareOf(dot.expandedKpa, dot)));
  return {
    unit: relative ? "% of the limit" : "kPa",
    limit,
    zone: limit === undefined || ratio === null ? undefined : zoneOf(limit, ratio),
    most: limit === undefined ? reach * 1.05 : Math.min(Math.max(reach * 1.05, 1.4 * limit), MOST_LIMITS * limit),
    valueOf: (dot) => shareOf(dot.errorKpa, dot),
    expandedOf: (dot) => shareOf(dot.expandedKpa, dot),
  };
}

/** As wide as the gauge alone makes it; each specimen's own readings make it wider. */
function zoneOf(limit: number, ratio: NonNullable<LotBody["ratio"]>): readonly [number, number] | undefined {
  const ofLimit = ratio.widestWithinKpa / (ratio.ratio * ratio.gaugeExpandedKpa);
  const inner = Math.max(0, limit * ofLimit);
  return inner < limit ? [inner, 2 * limit - inner] : undefined;
}

function finding(specimens: readonly Placed[], { limit, unit }: Scale): string {
  if (limit === undefined) return "No limit of pressure was entered: the errors stand alone.";
  const having = (verdict: Dot["verdict"]) =>
    specimens.filter(({ dots }) => dots.some((dot) => dot.verdict === verdict)).length;
  const [outside, open] = [having("outside"), having("cannot tell")];
  const limits = unit === "kPa" ? `±\u00a0${withUnit(plain(limit), "kPa")}` : "the limit";
  const first =
    outside === 0
      ? `No specimen is outside ${limits} at a set point`
      : `Outside ${limits} at one set point or more: ${counted(outside, "specimen")}`;
  return open === 0 ? `${first}.` : `${first}; cannot tell at one or more: ${counted(open, "specimen")}.`;
}

function key(count: number, setPoints: number, { zone }: Scale): string {
  const marks = "dot within, ▲ cannot tell, ■ outside";
  const whole = "from the least to the greatest error with their expanded uncertainty at 95\u202f%";
  return [
    count > MOST_ROWS
      ? `One line a specimen, ${whole}; marks only where an error is not within: ▲ cannot tell, ■ outside.`
      : setPoints > MOST_LINES
        ? `One line a specimen, ${whole}; on it a mark for each set point: ${marks}.`
        : `One mark a set point, in their order from above: ${marks}; the line through it is its expanded uncertainty at 95\u202f%.`,
    ...(zone
      ? [
          "Hatched: so near to the limit that by this rule the gauge alone cannot tell; the readings' own uncertainty adds to it.",
        ]
      : []),
  ].join(" ");
}

function frame(scale: Scale, heightPx: number): readonly Shape[] {
  const { limit, zone, most, unit } = scale;
  const x = across(scale);
  const bottom = heightPx - AXIS_PX;
  const limits = limit === undefined ? [] : [-limit, limit];
  const zones = zone === undefined ? [] : [[-zone[1], -zone[0]] as const, [zone[0], zone[1]] as const];
  return [
    ...zones.flatMap(([from, to]) => hatching(x(Math.max(from, -most)), x(Math.min(to, most)), TOP_PX, bottom, 5)),
    line(
      [
        [LEFT_PX, bottom],
        [RIGHT_PX, bottom],
      ],
      1,
    ),
    line(
      [
        [x(0), TOP_PX],
        [x(0), bottom],
      ],
      0.5,
      true,
    ),
    ...limits.flatMap((at) => [
      line(
        [
          [x(at), TOP_PX],
          [x(at), bottom],
        ],
        1.6,
      ),
      text([x(at), TOP_PX - 5], `limit ${signed(at)}`, "middle", true),
    ]),
    ...roundMarks(-most, most, 9).flatMap((mark) => [
      line(
        [
          [x(mark), bottom],
          [x(mark), bottom + 4],
        ],
        1,
      ),
      text([x(mark), bottom + 16], signed(mark), "middle"),
    ]),
    text(
      [(LEFT_PX + RIGHT_PX) / 2, bottom + 31],
      unit === "kPa" ? "Error: reading less gauge, kPa" : "Error: reading less gauge, in % of its limit",
      "middle",
    ),
    text([LEFT_PX - 6, bottom + 16], "No.", "end"),
  ];
}

function rowByRow(specimens: readonly Placed[], scale: Scale): Drawing {
  const rowPx = specimens.length <= FEW_ROWS ? WIDE_ROW_PX : ROW_PX;
  const heightPx = TOP_PX + specimens.length * rowPx + AXIS_PX;
  const shapes = specimens.flatMap(({ specimen, dots }, row) => {
    const middle = TOP_PX + (row + 0.5) * rowPx;
    return [
      text([LEFT_PX - 6, middle + 4], String(specimen.number), "end"),
      ...(dots.length === 0 ? [text([across(scale)(0) + 6, middle + 4], `no error: ${specimen.state}`, "start")] : []),
      ...rowShapes(dots, scale, middle, rowPx),
      text([RIGHT_PX + 8, middle + 4], besideRow(specimen, dots, scale), "start"),
    ];
  });
  return { widthPx: WIDTH_PX, heightPx, shapes: [...frame(scale, heightPx), ...shapes] };
}

/** Each error at a height of its own with its uncertainty or, where they are many, all on the line that holds them. */
function rowShapes(dots: readonly Dot[], scale: Scale, middle: number, rowPx: number): readonly Shape[] {
  const x = across(scale);
  const level = (from: number, to: number, y: number) =>
    line(
      [
        [x(from), y],
        [x(to), y],
      ],
      0.7,
    );
  if (dots.some(({ places }) => places > MOST_LINES)) {
    const [least, most] = reachOf(dots, scale);
    return [level(least, most, middle), ...dots.map((dot) => markShape(dot.verdict, x(scale.valueOf(dot)), middle))];
  }
  return dots.flatMap((dot) => {
    const [value, expanded] = [scale.valueOf(dot), scale.expandedOf(dot)];
    const y = middle + (dot.places < 2 ? 0 : (dot.place / (dot.places - 1) - 0.5) * (rowPx - 4.5));
    return [level(value - expanded, value + expanded, y), markShape(dot.verdict, x(value), y)];
  });
}

/** From the least to the greatest error with their uncertainties; not for none. */
function reachOf(dots: readonly Dot[], scale: Scale): readonly [number, number] {
  return [
    Math.min(...dots.map((dot) => scale.valueOf(dot) - scale.expandedOf(dot))),
    Math.max(...dots.map((dot) => scale.valueOf(dot) + scale.expandedOf(dot))),
  ];
}

function markShape(verdict: Dot["verdict"], x: number, y: number): Shape {
  if (verdict === "outside")
    return area([
      [x - 2.6, y - 2.6],
      [x + 2.6, y - 2.6],
      [x + 2.6, y + 2.6],
      [x - 2.6, y + 2.6],
    ]);
  if (verdict === "cannot tell")
    return area([
      [x, y - 3.2],
      [x + 3.2, y + 2.6],
      [x - 3.2, y + 2.6],
    ]);
  return area(
    Array.from({ length: 8 }, (_, i) => {
      const turn = ((i + 0.5) * Math.PI) / 4;
      return [x + 1.7 * Math.cos(turn), y + 1.7 * Math.sin(turn)] as const;
    }),
  );
}

/** Its verdict where it is not within, and the figure of an error that is beyond the scale. */
function besideRow(specimen: SpecimenBody, dots: readonly Dot[], scale: Scale): string {
  const beyond = dots.map(scale.valueOf).filter((value) => Math.abs(value) > scale.most);
  const furthest = beyond.toSorted((a, b) => Math.abs(b) - Math.abs(a))[0];
  const verdict = verdictOf(specimen);
  const word = verdict === "within" ? "" : `${MARKS[verdict]}${verdict}`;
  return furthest === undefined ? word : `${word}, ${signed(Number(furthest.toPrecision(3)))}`;
}

/** Also fits hundreds of specimens into half a page. */
function spans(specimens: readonly Placed[], scale: Scale): Drawing {
  const pitch = SPANS_PX / specimens.length;
  const x = across(scale);
  let labelFrom = 0;
  let besideFrom = 0;
  const shapes = specimens.flatMap(({ specimen, dots }, row): readonly Shape[] => {
    const y = TOP_PX + (row + 0.5) * pitch;
    const found: Shape[] = [];
    if (specimen.number % 10 === 0 && y >= labelFrom) {
      found.push(text([LEFT_PX - 6, y + 4], String(specimen.number), "end"));
      labelFrom = y + ROW_PX;
    }
    const verdict = verdictOf(specimen);
    if (verdict !== "within" && y >= besideFrom) {
      found.push(text([RIGHT_PX + 8, y + 4], `${MARKS[verdict]}${specimen.number} ${verdict}`, "start"));
      besideFrom = y + ROW_PX;
    }
    if (dots.length === 0) return found;
    const [least, most] = reachOf(dots, scale);
    const marked = dots.filter((dot) => dot.verdict !== "within");
    return [
      ...found,
      line(
        [
          [x(least), y],
          [x(most), y],
        ],
        Math.min(1.2, pitch * 0.5),
      ),
      ...marked.map((dot) => markShape(dot.verdict, x(scale.valueOf(dot)), y)),
    ];
  });
  const heightPx = TOP_PX + SPANS_PX + AXIS_PX;
  return { widthPx: WIDTH_PX, heightPx, shapes: [...frame(scale, heightPx), ...shapes] };
}

/** From a value to its place; beyond the scale it stands at the edge. */
function across({ most }: Scale): (value: number) => number {
  return (value) => {
    const kept = Math.min(Math.max(value, -most), most);
    return LEFT_PX + ((kept + most) / (2 * most)) * (RIGHT_PX - LEFT_PX);
  };
}

function signed(value: number): string {
  return value > 0 ? `+${plain(value)}` : plain(value);
}
