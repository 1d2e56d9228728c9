import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Field } from "../../../decoders/layouts/schema.ts";
import type { WorkedField, WorkedFrames } from "../../../decoders/workshop/workOut.ts";
import type { Decided } from "../../../decoders/workshop/worksheet.ts";
import { bitsRange, formulaWords } from "../../model/layoutWords.ts";
import { counted, figure, listed } from "../../model/quantities.ts";
import { chanceWords } from "../../model/workshop/chanceWords.ts";
import {
  emptyForm,
  FIELD_KINDS,
  type FieldForm,
  fieldFrom,
  formOf,
  UNITS,
  withField,
} from "../../model/workshop/fieldForm.ts";
import { namedStretches, rasterRows } from "../../model/workshop/frameRaster.ts";
import { PickOne, TextField } from "../../views/Fields.tsx";
import { FrameRaster } from "../../views/FrameRaster.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Table } from "../../views/Table.tsx";
import type { FramesProps } from "./LineUpStation.tsx";

export function NameStation({ here, frames }: FramesProps): JSX.Element {
  const [form, setForm] = useState<FieldForm>();
  const { rows } = rasterRows(frames);
  const { named } = frames.told;
  const lineCode = frames.lineUp.codes.find(({ taken }) => taken)?.lineCode ?? null;
  // Places mean something in these frames alone, so the line code stays as it is from now on.
  const change = (after: readonly Field[]): Partial<Decided> => ({ ...frames.told, lineCode, named: after });
  const take = (field: Field) =>
    here.decide(`Named bits ${bitsRange(field.at, field.bits)} ${field.name}`, change(withField(named, field)));
  const at = Number(form?.at);
  const bits = Number(form?.bits);
  return (
    <>
      <p>Stroke over bits to choose them, or type their numbers below.</p>
      <FrameRaster
        rows={rows}
        stretches={namedStretches(frames)}
        flips={frames.bits.map(({ flips }) => flips)}
        label="The frames below each other, with what their bits are; the table has the same in words"
        chosen={form && Number.isInteger(at) && Number.isInteger(bits) ? { at, bits } : undefined}
        onChoose={(first, count) =>
          setForm({ ...(form ?? emptyForm(first, count)), at: String(first), bits: String(count) })
        }
      />
      {form ? (
        <NameBits
          form={form}
          frames={frames}
          busy={here.busy || here.isBehind}
          onForm={setForm}
          onField={async (field) => {
            if (await take(field)) setForm(undefined);
          }}
        />
      ) : (
        <p>
          <button type="button" class="button" onClick={() => setForm(emptyForm(0, 8))}>
            Name bits
          </button>
        </p>
      )}
      <Table
        caption="In the order of the frame"
        rows={frames.fields}
        keyOf={({ field }) => `${field.at} ${field.name}`}
        empty={{
          says: "No field yet: no bits tell sensors apart, and none follow a gauge.",
          action: { label: "Tell what a gauge read", href: "?at=what-moves" },
        }}
        columns={[
          { name: "Field", cell: ({ field }) => field.name },
          {
            name: "Bits",
            cell: ({ field: { at: first, bits: count } }) => <span class="whole">{bitsRange(first, count)}</span>,
          },
          { name: "Formula", cell: ({ field }) => formulaWords(field) },
          { name: "How sure", cell: sureWords },
          {
            name: "",
            cell: (one) => (
              <FieldActions
                one={one}
                busy={here.busy || here.isBehind}
                onTake={take}
                onEdit={() => setForm(formOf(one.field))}
                onLeave={() =>
                  here.decide(
                    `Left ${one.field.name} to the likeliest`,
                    change(named.filter(({ at: first }) => first !== one.field.at)),
                  )
                }
              />
            ),
          },
        ]}
      />
    </>
  );
}

function sureWords({ field, named, points, residual, lnChance, rivals }: WorkedField): string {
  const parts = named ? ["named by hand"] : [];
  if (points > 0 && residual !== null) {
    const unit = field.quantity === "temperature" ? "°C" : "kPa";
    parts.push(`within ${figure(residual, 1)} ${unit} at ${counted(points, "reading")}`);
    if (!named && lnChance !== null) parts.push(`by accident ${chanceWords(-lnChance / Math.LN2)}`);
  } else if (named && (field.quantity === "pressure" || field.quantity === "temperature")) {
    parts.push("no gauge was read: a guess");
  }
  if (rivals.length > 0) {
    parts.push(`${rivals.length === 1 ? "one other stretch" : `${rivals.length} other stretches`} nearly as good`);
  }
  return parts.join("; ");
}

interface FieldActionsProps {
  readonly one: WorkedField;
  readonly busy: boolean;
  readonly onTake: (field: Field) => void;
  readonly onEdit: () => void;
  readonly onLeave: () => void;
}

/** Other constants and stretches that the figures allow, and the way to say it oneself. */
function FieldActions({ one, busy, onTake, onEdit, onLeave }: FieldActionsProps): JSX.Element {
  const { field, named, constants, rivals } = one;
  const others = constants.slice(1).map(({ unit, scale, offset, reference, behind }) => ({
    field: { ...field, unit, scale, offset, ...(reference === undefined ? {} : { reference }) } as Field,
    behind,
  }));
  return (
    <span class="field-actions">
      {others.length > 0 && (
        <PickOne
          label={`Other constants for ${field.name}`}
          value=""
          onChange={(index) => {
            const other = others[Number(index)];
            if (other) onTake(other.field);
          }}
          options={[
            ["", formulaWords(field)],
            ...others.map(
              (other, i) => [String(i), `${formulaWords(other.field)}, ${timesWords(other.behind)}`] as const,
            ),
          ]}
        />
      )}
      {rivals.length > 0 && (
        <PickOne
          label={`Other bits for ${field.name}`}
          value=""
          onChange={(index) => {
            const rival = rivals[Number(index)];
            if (rival) onTake(rival);
          }}
          options={[
            ["", `bits ${bitsRange(field.at, field.bits)}`],
            ...rivals.map((rival, i) => [String(i), `bits ${bitsRange(rival.at, rival.bits)}`] as const),
          ]}
        />
      )}
      <button type="button" class="button small" disabled={busy} onClick={onEdit}>
        Change it
      </button>
      {named && (
        <button type="button" class="button small" disabled={busy} onClick={onLeave}>
          Leave it to the likeliest
        </button>
      )}
    </span>
  );
}

function timesWords(nats: number): string {
  return nats < 0.7 ? "as likely" : `${Math.round(Math.exp(nats)).toLocaleString("en-GB")} times less likely`;
}

interface NameBitsProps {
  readonly form: FieldForm;
  readonly frames: WorkedFrames;
  readonly busy: boolean;
  readonly onForm: (form: FieldForm | undefined) => void;
  readonly onField: (field: Field) => void;
}

function NameBits({ form, frames, busy, onForm, onField }: NameBitsProps): JSX.Element {
  const [told, setTold] = useState(false);
  const made = fieldFrom(form, frames.bitCount, frames.told.named);
  const giving = made.ok ? givingWay(made.field, frames) : [];
  const wrong = told && !made.ok ? made.wrong : {};
  const change = (part: Partial<FieldForm>) => onForm({ ...form, ...part });
  const units = UNITS[form.kind];
  return (
    <form
      class="name-bits"
      aria-label="Name bits"
      onSubmit={(event) => {
        event.preventDefault();
        setTold(true);
        if (made.ok) onField(made.field);
      }}
      onKeyDown={(event) => event.key === "Escape" && onForm(undefined)}
    >
      <div class="inline-form">
        <TextField label="First bit" value={form.at} wrong={wrong.at} numeric onInput={(at) => change({ at })} />
        <TextField label="How many" value={form.bits} wrong={wrong.bits} numeric onInput={(bits) => change({ bits })} />
        <PickOne
          label="What it is"
          value={form.kind}
          options={FIELD_KINDS}
          onChange={(kind) => change({ kind, ...(UNITS[kind][0] ? { unit: UNITS[kind][0] } : {}) })}
        />
        <TextField
          label="Its name"
          value={form.name}
          wrong={wrong.name}
          maxLength={80}
          onInput={(name) => change({ name })}
        />
        <PickOne
          label="Which bit comes first"
          value={form.order}
          options={[
            ["msb-first", "the highest"],
            ["lsb-first", "the lowest"],
          ]}
          onChange={(order) => change({ order })}
        />
      </div>
      {(units.length > 0 || form.kind === "number") && (
        <div class="inline-form">
          <PickOne
            label="Below zero"
            value={form.signed}
            options={[
              ["unsigned", "never"],
              ["signed", "two's complement"],
            ]}
            onChange={(signed) => change({ signed })}
          />
          <TextField
            label="Step"
            value={form.scale}
            wrong={wrong.scale}
            numeric
            onInput={(scale) => change({ scale })}
          />
          <TextField
            label="Value at zero"
            value={form.offset}
            wrong={wrong.offset}
            numeric
            onInput={(offset) => change({ offset })}
          />
          {units.length > 0 && (
            <PickOne
              label="Unit"
              value={form.unit}
              options={units.map((unit) => [unit, unit === "degC" ? "°C" : unit === "degF" ? "°F" : unit] as const)}
              onChange={(unit) => change({ unit })}
            />
          )}
          {form.kind === "pressure" && (
            <PickOne
              label="Counted from"
              value={form.reference}
              options={[
                ["gauge", "the air outside (gauge)"],
                ["absolute", "nothing (absolute)"],
              ]}
              onChange={(reference) => change({ reference })}
            />
          )}
        </div>
      )}
      {giving.length > 0 && (
        <p>
          <Mark strength="look here" words={`What lies there gives way: ${listed(giving)}.`} />
        </p>
      )}
      <p class="form-foot">
        <button type="submit" class="button main" disabled={busy}>
          Name these bits
        </button>
        <button type="button" class="button" onClick={() => onForm(undefined)}>
          Leave it
        </button>
      </p>
    </form>
  );
}

/** What lies over a field, as found or named. */
function givingWay(field: Field, { fields, checks }: WorkedFrames): readonly string[] {
  const isUnder = (at: number, bits: number) => at < field.at + field.bits && field.at < at + bits;
  return [
    ...fields
      .filter((one) => isUnder(one.field.at, one.field.bits) && one.field.name !== field.name)
      .map((one) => one.field.name),
    ...checks
      .filter(({ taken, check }) => taken && isUnder(check.at, check.kind === "parity" ? 1 : check.width))
      .map(({ check }) => `the ${check.kind}`),
  ];
}
