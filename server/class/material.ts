import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { Layout } from "../../decoders/layouts/schema.ts";
import type { BurstRecord, RungName, TelegramRecord } from "../../decoders/records.ts";
import { cautionWords } from "./cautions.ts";
import { shuffled, type Values } from "./drawn.ts";
import type { Exercise, Given, Unit } from "./exercise.ts";
import { type AirPicture, type CarCase, identityIn, type Recorded } from "./recorded.ts";
import { filled, TextError } from "./texts.ts";

/** Something that is shown. */
export type Shown =
  | { readonly kind: "text"; readonly says: string }
  | {
      readonly kind: "table";
      readonly caption: string;
      readonly head: readonly string[];
      readonly rows: readonly (readonly string[])[];
    }
  | { readonly kind: "symbols"; readonly caption: string; readonly groups: readonly string[] }
  | { readonly kind: "signal"; readonly caption: string; readonly frequency: boolean; readonly picture: AirPicture };

/** How an answer is given. */
export type Asked =
  | { readonly kind: "quantity"; readonly unit: Unit }
  | { readonly kind: "bits" | "hex" | "words" }
  | {
      readonly kind: "choice" | "choices" | "order";
      readonly options: readonly { readonly id: string; readonly words: string }[];
    };

/** All that somebody who sits at an exercise may see before it is revealed. */
export interface Material {
  readonly id: string;
  readonly title: string;
  readonly rung: RungName | null;
  readonly question: string;
  readonly gives: readonly Shown[];
  readonly asks: Asked;
  readonly hintCount: number;
  readonly cautions: readonly string[];
}

export interface Drawn {
  readonly exercise: Exercise;
  readonly seed: string;
  readonly values: Values;
  readonly recorded: Recorded | undefined;
  readonly car: CarCase | undefined;
  /** One for each given signal, in their order. */
  readonly pictures: readonly (AirPicture | undefined)[];
}

/** @throws TextError, FindingError where the exercise asks for what is not there. */
export function materialOf(given: Drawn): Material {
  const { exercise, values, pictures } = given;
  let signals = 0;
  return {
    id: exercise.id,
    title: exercise.title,
    rung: exercise.rung,
    question: filled(exercise.question, values),
    gives: exercise.gives.flatMap((one) =>
      shownOf(one, given, one.kind === "signal" ? pictures[signals++] : undefined),
    ),
    asks: askedOf(given),
    hintCount: exercise.hints.length,
    cautions: (exercise.cautions ?? []).map(cautionWords),
  };
}

function askedOf({ exercise: { answer }, seed, values }: Drawn): Asked {
  switch (answer.kind) {
    case "quantity":
      return { kind: "quantity", unit: answer.unit };
    case "choice":
    case "choices":
    case "order": {
      // In an order of the seat's own: the right one is not always the first, nor the same for neighbours.
      const options = shuffled(answer.options, seed).map(({ id, words }) => ({ id, words: filled(words, values) }));
      return { kind: answer.kind, options };
    }
    default:
      return { kind: answer.kind };
  }
}

function shownOf(given: Given, drawn: Drawn, picture: AirPicture | undefined): readonly Shown[] {
  const { values, recorded, car } = drawn;
  switch (given.kind) {
    case "text":
      return [{ kind: "text", says: filled(given.says, values) }];
    case "table":
      return [
        {
          kind: "table",
          caption: filled(given.caption, values),
          head: given.head.map((one) => filled(one, values)),
          rows: given.rows.map((row) => row.map((cell) => filled(cell, values))),
        },
      ];
    case "signal":
      if (!picture) throw new TextError("The burst that is to be drawn was not heard.");
      return [{ kind: "signal", caption: filled(given.caption, values), frequency: given.frequency ?? false, picture }];
    case "symbols": {
      const text = filled(given.says, values).replace(/\s/g, "");
      const size = given.group ?? 8;
      const groups = Array.from({ length: Math.ceil(text.length / size) }, (_, i) =>
        text.slice(i * size, (i + 1) * size),
      );
      return [{ kind: "symbols", caption: filled(given.caption, values), groups }];
    }
    case "bursts":
      return [burstTable(given.caption, given.columns, needed(recorded).bursts)];
    case "telegrams":
      return [telegramTable(given.caption, given.fields, needed(recorded).telegrams)];
    case "layout":
      return layoutShown(given.layout);
    case "wakes":
      return [wakeTable(given.caption, needed(recorded))];
    case "card":
      return cardShown(neededCar(car));
    case "tried":
      return [
        {
          kind: "table",
          caption: "What was tried",
          head: ["Step", "What came of it"],
          rows: neededCar(car).tried.map(({ asks, answer }) => [asks, answer]),
        },
      ];
    default:
      return given satisfies never;
  }
}

function needed(recorded: Recorded | undefined): Recorded {
  if (!recorded) throw new TextError("The exercise has no scenario, so nothing was heard.");
  return recorded;
}

function neededCar(car: CarCase | undefined): CarCase {
  if (!car) throw new TextError("The exercise has no car.");
  return car;
}

type BurstColumn = Extract<Given, { kind: "bursts" }>["columns"][number];

const BURST_HEADS: Readonly<Record<BurstColumn, string>> = {
  atSeconds: "At, s",
  durationSeconds: "Lasts, ms",
  carrierHz: "Carrier, MHz",
  modulation: "Keying",
  deviationHz: "Deviation, kHz",
  symbolRate: "Symbols/s",
  snrDb: "Over noise, dB",
  levelDbfs: "Level, dBFS",
};

function burstTable(caption: string, columns: readonly BurstColumn[], bursts: readonly BurstRecord[]): Shown {
  const rows = bursts.map((burst) => [
    String(burst.index + 1),
    ...columns.map((column) => burstCell(column, burst[column])),
  ]);
  return { kind: "table", caption, head: ["Burst", ...columns.map((column) => BURST_HEADS[column])], rows };
}

function burstCell(column: BurstColumn, value: number | string | null): string {
  if (value === null) return "–";
  if (typeof value === "string") return value.toUpperCase();
  switch (column) {
    case "atSeconds":
      return value.toFixed(3);
    case "durationSeconds":
      return (1000 * value).toFixed(1);
    case "carrierHz":
      return (value / 1e6).toFixed(4);
    case "deviationHz":
      return (value / 1e3).toFixed(1);
    case "symbolRate":
      return value.toFixed(0);
    default:
      return value.toFixed(1);
  }
}

function telegramTable(caption: string, fields: readonly string[], telegrams: readonly TelegramRecord[]): Shown {
  const rows = telegrams.map((telegram) => [
    telegram.atSeconds.toFixed(3),
    identityIn(telegram) ?? "–",
    ...fields.map((field) => fieldCell(telegram, field)),
  ]);
  return { kind: "table", caption, head: ["At, s", "Identity", ...fields], rows };
}

function fieldCell({ fields }: TelegramRecord, name: string): string {
  const field = fields[name];
  if (!field) return "–";
  if (typeof field.value === "boolean") return field.value ? "yes" : "no";
  const unit = field.unit === null ? "" : ` ${field.unit === "degC" ? "°C" : field.unit}`;
  return field.value === null ? `raw ${field.raw}` : `${field.value}${unit}`;
}

function wakeTable(caption: string, { wakes, telegrams }: Recorded): Shown {
  const rows = [
    ...wakes.map(({ atSeconds, position }) => ({
      atSeconds,
      cells: [position === undefined ? "wake" : `wake ${position}`, "–", "–"],
    })),
    ...telegrams.map((telegram) => ({
      atSeconds: telegram.atSeconds,
      cells: [
        "telegram",
        identityIn(telegram) ?? "–",
        telegram.snrDb === null ? "–" : `${telegram.snrDb.toFixed(0)} dB`,
      ],
    })),
  ]
    .toSorted((a, b) => a.atSeconds - b.atSeconds)
    .map(({ atSeconds, cells }) => [atSeconds.toFixed(2), ...cells]);
  return { kind: "table", caption, head: ["At, s", "What", "Identity", "Over noise"], rows };
}

/** Everything that whoever reads a telegram by hand needs of its layout. */
function layoutShown(id: string): readonly Shown[] {
  const layout = builtinLayouts.find((one) => one.id === id);
  if (!layout) throw new TextError(`There is no layout ${id}.`);
  const head = ["Field", "From bit", "Bits", "Kind", "Value"];
  const fields = layout.fields.map((field) => [
    field.name,
    String(field.at),
    String(field.bits),
    field.bitOrder === "lsb-first" ? `${field.type}, lowest bit first` : field.type,
    fieldWords(field),
  ]);
  return [
    { kind: "text", says: layoutWords(layout) },
    { kind: "table", caption: `Fields of ${layout.id}; bit 0 is the first on air`, head, rows: fields },
  ];
}

function fieldWords(field: Layout["fields"][number]): string {
  if (field.values) {
    return Object.entries(field.values)
      .map(([raw, word]) => `${raw} = ${word}`)
      .join(", ");
  }
  if (field.equals !== undefined) return `always ${field.equals}`;
  if (field.scale === undefined && field.offset === undefined) return "–";
  const offset = field.offset ?? 0;
  const unit = field.unit === "degC" ? "°C" : (field.unit ?? "");
  const reference = field.reference === undefined ? "" : `, ${field.reference}`;
  const plus = offset === 0 ? "" : ` ${offset < 0 ? "\u2212" : "+"} ${Math.abs(offset)}`;
  return `raw × ${field.scale ?? 1}${plus} ${unit}${reference}`;
}

function layoutWords(layout: Layout): string {
  const checks = layout.checks.map((check) =>
    check.kind === "crc"
      ? `CRC of ${check.width} bits, polynomial ${check.poly}, start ${check.init}, at the end XOR ${check.xorout}, at bit ${check.at}`
      : `${check.kind} at bit ${check.at}`,
  );
  const keying = layout.modulation === "fsk" ? `FSK ± ${(layout.deviationHz ?? 0) / 1e3} kHz` : "ASK";
  const sync = `the sync ${layout.sync.symbols}`;
  return `${keying}, ${layout.symbolRate} symbols/s, line code ${layout.lineCode}, ${sync}, then ${layout.bits} bits. ${checks.join("; ")}.`;
}

function cardShown(car: CarCase): readonly Shown[] {
  const { card, line, lines, walk, listenedHz, known } = car;
  const mhz = (hz: number) => `${(hz / 1e6).toFixed(2)} MHz`;
  const facts: (readonly [string, string])[] = [
    ["Wheel in question", line.position],
    ["Lamp", card.visit ?? "not written down"],
    ["Placard", card.placardFrontKpa === null ? "not written down" : `${card.placardFrontKpa} kPa`],
    ["Vehicle's sensors use", card.expectedCarrierHz === null ? "not known" : mhz(card.expectedCarrierHz)],
    ["We listened on", listenedHz.length === 0 ? "nothing" : listenedHz.map(mhz).join(" and ")],
    ...known.map((says) => ["Known", says] as const),
  ];
  return [
    { kind: "table", caption: "Job card", head: ["Entry", "What it says"], rows: facts },
    {
      kind: "table",
      caption: "Wheels",
      head: ["Wheel", "State", "Identity", "Pressure", "Carrier", "Over noise", "When woken"],
      rows: lines.map((one) => {
        const mine = walk.filter(({ position }) => position === one.position);
        return [
          one.position,
          one.state,
          one.identity ?? "–",
          one.gaugeKpa === null ? "–" : `${one.gaugeKpa.toFixed(0)} kPa`,
          one.carrierHz === null ? "–" : `${(one.carrierHz / 1e6).toFixed(3)} MHz`,
          one.snrDb === null ? "–" : `${one.snrDb.toFixed(0)} dB`,
          mine.length === 0 ? "no wake marked" : mine.map(({ because }) => because).join(" "),
        ];
      }),
    },
  ];
}
