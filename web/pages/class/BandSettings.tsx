import type { JSX } from "preact";
import type { LinkNumber, LinkSettings } from "../../../decoders/radio/link.ts";
import { CHOICES, impossible, NUMBER_SETTINGS } from "../../model/class/twoBands.ts";
import { NumberSlider } from "../../views/class/NumberSlider.tsx";
import { PickOne } from "../../views/Fields.tsx";
import type { BandsHere } from "./useBands.ts";

/** All that both bands are set by; what does not count at the moment is left out. */
export function BandSettings({ settings, change }: BandsHere): JSX.Element {
  const { antenna, power, path, interferer } = settings;
  const number = (key: LinkNumber, wrong?: string) => (
    <NumberSlider
      key={key}
      setting={NUMBER_SETTINGS[key]}
      value={settings[key]}
      wrong={wrong}
      onChange={(value) => change({ [key]: value })}
    />
  );
  return (
    <form class="band-settings" onSubmit={(event) => event.preventDefault()}>
      <fieldset>
        <legend>The sensor</legend>
        <Pick of="keying" label="Keying" settings={settings} change={change} />
        <Pick of="power" label="How strong it may send" settings={settings} change={change} />
        {power === "own" && number("ownDbm")}
        <Pick of="antenna" label="Its antenna" settings={settings} change={change} />
        {antenna === "loop" && number("loopAreaMm2")}
      </fieldset>
      <fieldset>
        <legend>The way</legend>
        {number("distanceM", impossible(settings))}
        <Pick of="path" label="How it spreads" settings={settings} change={change} />
        {number("sensorHeightM")}
        {number("receiverHeightM")}
        {path === "two-rays" && number("reflection")}
        {number("moreLossDb")}
      </fieldset>
      <fieldset>
        <legend>The receiver</legend>
        <Pick of="tuned" label="Set to" settings={settings} change={change} />
        <Pick of="receivingAntenna" label="Antenna of the receiver" settings={settings} change={change} />
        {number("noiseFigureDb")}
        {number("bandwidthKhz")}
      </fieldset>
      <fieldset>
        <legend>An interferer</legend>
        <Pick of="interferer" label="Where it sends" settings={settings} change={change} />
        {interferer !== "none" && (
          <>
            {number("interfererDbm")}
            {number("interfererOffsetKhz")}
          </>
        )}
      </fieldset>
    </form>
  );
}

interface PickProps extends BandsHere {
  readonly of: Exclude<keyof LinkSettings, LinkNumber>;
  readonly label: string;
}

function Pick({ of, label, settings, change }: PickProps): JSX.Element {
  const options: readonly (readonly [string, string])[] = CHOICES[of];
  return <PickOne label={label} options={options} value={settings[of]} onChange={(value) => change({ [of]: value })} />;
}
