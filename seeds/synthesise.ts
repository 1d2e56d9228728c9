import { gaugeLogLines } from "./gauge-log.ts";
import { receiverLines } from "./lines.ts";
import { planOf } from "./plan.ts";
import { receivedBlocks } from "./receive.ts";
import type { Scenario } from "./scenario.ts";
import { type SigmfMeta, sigmfMeta } from "./sigmf-meta.ts";
import { type Truth, truthOf } from "./truth.ts";

export interface Synthesis {
  /** Undefined where the scenario asks for no recording. */
  readonly recording: Recording | undefined;
  /** One JSON text each, without line ends; undefined where the scenario asks for none. */
  readonly lines: readonly string[] | undefined;
  /** Likewise, of the gauge's log. */
  readonly gaugeLog: readonly string[] | undefined;
  readonly truth: Truth;
}

export interface Recording {
  /** The metadata, once the hash of the sample bytes is known: SHA-512, 128 hex digits. */
  readonly meta: (sha512: string) => SigmfMeta;
  /** The sample bytes in order, made as they are asked for; a fresh run each time. */
  readonly blocks: () => Iterable<Uint8Array>;
}

/**
 * What a scenario gives: a recording, receiver lines, a gauge's log, and the truth about them. The same scenario, the same
 * bytes.
 */
export function synthesise(scenario: Scenario): Synthesis {
  const plan = planOf(scenario);
  const { outputs } = scenario;
  return {
    recording: outputs.includes("recording")
      ? { meta: (sha512) => sigmfMeta(scenario, sha512), blocks: () => receivedBlocks(scenario, plan) }
      : undefined,
    lines: outputs.includes("lines") ? receiverLines(scenario, plan) : undefined,
    gaugeLog: gaugeLogLines(scenario),
    truth: truthOf(scenario, plan),
  };
}
