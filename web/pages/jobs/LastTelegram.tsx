import type { JSX } from "preact";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import type { StoredTelegramBody } from "../../../server/http/wire.ts";
import { useSettings } from "../../device.ts";
import { counted, frequencyShown, inLine } from "../../model/quantities.ts";
import { beliefWords, fieldRows } from "../../model/telegramWords.ts";
import { timeShown } from "../../model/times.ts";
import { Table } from "../../views/Table.tsx";

interface LastTelegramProps {
  readonly stored: StoredTelegramBody;
  readonly layout: Layout | undefined;
}

/** A telegram in words: each field with its value, its raw number and the formula between them. */
export function LastTelegram({ stored, layout }: LastTelegramProps): JSX.Element {
  const settings = useSettings();
  const { telegram } = stored;
  return (
    <>
      <p>
        {timeShown(stored.at)}, on {inLine(frequencyShown(telegram.carrierHz, 3))},{" "}
        {telegram.repeats.length === 1 ? "1 copy" : `${telegram.repeats.length} copies`}, read as{" "}
        <a href={`/layouts/${telegram.layout}`}>{telegram.layout}</a>
        {telegram.snrDb === null ? "" : `, ${Math.round(telegram.snrDb)} dB over the noise`}.
      </p>
      <p>{beliefWords(telegram)}</p>
      <Table
        caption={`Its ${counted(Object.keys(telegram.fields).length, "field")}, from bits to values`}
        rows={fieldRows(telegram, layout, settings)}
        keyOf={({ name }) => name}
        empty={{
          says: "This telegram's layout names no field.",
          action: { label: "See the layout", href: `/layouts/${telegram.layout}` },
        }}
        columns={[
          { name: "Field", cell: ({ name }) => name },
          { name: "Value", cell: ({ value, plausible }) => (plausible ? value : `${value} (makes no sense)`) },
          { name: "Raw", figures: true, cell: ({ raw }) => raw },
          { name: "Bits", figures: true, cell: ({ bits }) => bits ?? "–" },
          { name: "How", cell: ({ formula }) => formula ?? "the layout is not on the shelf" },
        ]}
      />
      <p>
        <span class="caption">Bits as sent, {telegram.bitCount}</span>
        <code class="bits">{telegram.bits}</code>
      </p>
    </>
  );
}
