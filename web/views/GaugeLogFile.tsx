import type { JSX } from "preact";

interface GaugeLogFileProps {
  /** What the file holds. */
  readonly onText: (name: string, text: string) => Promise<unknown>;
}

/** A file of a gauge or thermometer. */
export function GaugeLogFile({ onText }: GaugeLogFileProps): JSX.Element {
  return (
    <label class="file">
      <span>A log (CSV)</span>
      <input
        type="file"
        accept=".csv,.txt,text/csv,text/plain"
        onChange={async (event) => {
          const input = event.currentTarget;
          const file = input.files?.[0];
          if (!file) return;
          await onText(file.name, await file.text());
          input.value = "";
        }}
      />
    </label>
  );
}
