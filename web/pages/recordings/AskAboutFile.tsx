import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { SampleType } from "../../../decoders/sources.ts";
import { type AskingUpload, type NamedFile, type Told, typeGuess } from "../../model/recording/uploadPlan.ts";
import { numberTyped } from "../../model/typed.ts";
import { Choice, TextField } from "../../views/Fields.tsx";

interface AskAboutFileProps {
  readonly asking: AskingUpload<NamedFile>;
  readonly onTold: (told: Told) => void;
  readonly onLeave: () => void;
}

const TYPES: readonly (readonly [SampleType, string])[] = [
  ["cu8", "bytes without a sign, 8 bits (cu8)"],
  ["ci8", "bytes with a sign, 8 bits (ci8)"],
  ["ci16_le", "whole numbers of 16 bits (ci16_le)"],
  ["cf32_le", "floating point of 32 bits (cf32_le)"],
];

/** What a file of samples does not say itself: how they are written, how many a second, what the receiver was tuned to. */
export function AskAboutFile({ asking: { file, kind }, onTold, onLeave }: AskAboutFileProps): JSX.Element {
  const [type, setType] = useState<SampleType>(typeGuess(file.name) ?? "cu8");
  const [rate, setRate] = useState("");
  const [carrier, setCarrier] = useState("");
  const rateTyped = numberTyped(rate, 0.001, 100, "The sample rate in MS/s");
  const carrierTyped = numberTyped(carrier, 1, 6000, "The frequency in MHz");
  const raw = kind === "raw";
  const rateMissing = raw && (!rateTyped.ok || rateTyped.value === null);

  const tell = () => {
    if (rateMissing || !carrierTyped.ok) return;
    onTold({
      ...(raw ? { type } : {}),
      ...(raw && rateTyped.ok && rateTyped.value !== null ? { rateHz: Math.round(rateTyped.value * 1e6) } : {}),
      ...(carrierTyped.value === null ? {} : { carrierHz: Math.round(carrierTyped.value * 1e6) }),
    });
  };

  return (
    <form
      class="add-receiver ask-about"
      aria-label={`About ${file.name}`}
      onSubmit={(event) => {
        event.preventDefault();
        tell();
      }}
      onKeyDown={(event) => event.key === "Escape" && onLeave()}
    >
      <h2>{`${file.name} does not say ${raw ? "how it was made" : "what it was tuned to"}`}</h2>
      {raw && <Choice legend="Each sample, I then Q, is written as" options={TYPES} value={type} onChange={setType} />}
      {raw && (
        <TextField
          label="Samples a second"
          unit="MS/s"
          numeric
          value={rate}
          wrong={rateTyped.ok ? undefined : rateTyped.says}
          onInput={setRate}
        />
      )}
      <TextField
        label="The receiver was tuned to, if you know"
        unit="MHz"
        numeric
        value={carrier}
        wrong={carrierTyped.ok ? undefined : carrierTyped.says}
        onInput={setCarrier}
      />
      <p class="form-foot">
        <button type="submit" class="button main" disabled={rateMissing || !carrierTyped.ok}>
          Add it
        </button>
        <button type="button" class="button" onClick={onLeave}>
          Leave it out
        </button>
      </p>
    </form>
  );
}
