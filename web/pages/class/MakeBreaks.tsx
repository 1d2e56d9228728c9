import type { JSX } from "preact";
import type { Layout } from "../../../decoders/layouts/schema.ts";
import { type Breaks, signedWords } from "../../model/class/makingDraft.ts";
import { Slider } from "../../views/class/Slider.tsx";

interface MakeBreaksProps {
  readonly layout: Layout;
  readonly breaks: Breaks;
  readonly onChange: (changed: Partial<Breaks>) => void;
}

const MOST_TURNED = 24;
const MOST_CUT = 40;

/** Ways to spoil a telegram. */
export function MakeBreaks({ layout, breaks, onChange }: MakeBreaksProps): JSX.Element {
  const cut = (symbols: number) => (symbols === 0 ? "none" : `${symbols} symbols`);
  return (
    <div class="sliders">
      <Slider
        label="Shift the carrier"
        value={breaks.carrierShiftKhz}
        least={-160}
        most={160}
        step={5}
        words={signedWords(breaks.carrierShiftKhz, "kHz")}
        onInput={(carrierShiftKhz) => onChange({ carrierShiftKhz })}
      />
      <Slider
        label="Run its clock fast or slow"
        value={breaks.clockPercent}
        least={-5}
        most={5}
        step={0.5}
        words={signedWords(breaks.clockPercent, "%")}
        onInput={(clockPercent) => onChange({ clockPercent })}
      />
      <Slider
        label="Level over the noise, Eb/N0"
        value={breaks.ebN0Db}
        least={0}
        most={45}
        step={1}
        words={`${breaks.ebN0Db}\u202fdB`}
        onInput={(ebN0Db) => onChange({ ebN0Db })}
      />
      <Slider
        label="Cut off the end of the sync"
        value={breaks.cutSyncSymbols}
        least={0}
        most={layout.sync.symbols.length}
        step={1}
        words={`${cut(breaks.cutSyncSymbols)} of ${layout.sync.symbols.length}`}
        onInput={(cutSyncSymbols) => onChange({ cutSyncSymbols })}
      />
      <Slider
        label="Turn symbols of the frame, every second one"
        value={breaks.turnedSymbols}
        least={0}
        most={MOST_TURNED}
        step={1}
        words={cut(breaks.turnedSymbols)}
        onInput={(turnedSymbols) => onChange({ turnedSymbols })}
      />
      <Slider
        label="Cut off the end of the frame"
        value={breaks.cutEndSymbols}
        least={0}
        most={MOST_CUT}
        step={1}
        words={cut(breaks.cutEndSymbols)}
        onInput={(cutEndSymbols) => onChange({ cutEndSymbols })}
      />
    </div>
  );
}
