import type { Scenario } from "./scenario.ts";
import { timeOfDay } from "./time-of-day.ts";
import { tuningsOf } from "./tunings.ts";

/** The metadata of a recording, key by key as SigMF has them. */
export interface SigmfMeta {
  readonly global: Readonly<Record<string, string | number>>;
  readonly captures: readonly Readonly<Record<string, string | number>>[];
  readonly annotations: readonly never[];
}

/**
 * SigMF metadata of a scenario's recording, one capture for each tuning.
 *
 * @param sha512 Of the sample bytes, 128 hex digits.
 * @source SigMF specification 1.2.5.
 */
export function sigmfMeta(scenario: Scenario, sha512: string): SigmfMeta {
  const { receiver, title, notes, startsAt } = scenario;
  return {
    global: {
      "core:version": "1.2.5",
      "core:datatype": receiver.sampleType,
      "core:sample_rate": receiver.sampleRateHz,
      "core:sha512": sha512,
      "core:recorder": "Wheelgram seeds",
      "core:hw": receiver.name,
      "core:description": notes ? `${title}. ${notes}` : title,
      "core:license": "https://spdx.org/licenses/MIT.html",
    },
    captures: tuningsOf(scenario).map(({ fromSample, carrierHz }) => ({
      "core:sample_start": fromSample,
      "core:frequency": carrierHz,
      "core:datetime": timeOfDay(startsAt, fromSample / receiver.sampleRateHz),
    })),
    annotations: [],
  };
}
