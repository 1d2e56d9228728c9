import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import { ALIGNMENTS, type Comparison, MOST_PICKS, without } from "../../model/compare/address.ts";
import type { Picked } from "../../model/compare/picked.ts";
import { ALIGNMENT_WORDS } from "../../model/compare/places.ts";
import { frameWords } from "../../model/recording/frameWords.ts";
import { numberTyped } from "../../model/typed.ts";
import { Mark } from "../../views/Mark.tsx";
import type { ComparisonHere } from "./useComparison.ts";

interface PicksProps {
  readonly here: ComparisonHere;
  /** `at`: its place in the address. */
  readonly these: readonly (Picked & { readonly at: number })[];
  readonly all: readonly RecordingBody[];
}

/** What is compared and how it is lined up; each of it can be changed. */
export function Picks({ here: { comparison, change }, these, all }: PicksProps): JSX.Element {
  const { picks, align, offsetsSeconds } = comparison;
  const put = (at: number, frame: string) =>
    change({ picks: picks.map((pick, i) => (i === at ? { ...pick, frame } : pick)), range: undefined });
  return (
    <section class="picks" aria-label="What is compared">
      <ul class="pick-list">
        {these.map((one) => (
          <li key={one.at} class="pick">
            <span class="pick-letter">
              {one.letter}
              <svg class="swatch" width={24} height={6} aria-hidden="true">
                <path class={`band-line ink-line-${one.at}`} d="M0 3H24" />
              </svg>
            </span>
            <span class="pick-name">
              <a href={recordingHref(one)}>{one.recording.name}</a>
              {one.isStandIn && (
                <Mark strength="look here" words={`It has no frame ${picks[one.at]?.frame}; this one stands in`} />
              )}
              {one.recording.analysis.state !== "done" && <Mark strength="look here" words="not analysed yet" />}
            </span>
            <label class="field pick-frame">
              <span class="heard-only">{`Frame of ${one.letter}`}</span>
              <select
                value={one.frame?.id ?? ""}
                onChange={(event) => put(one.at, event.currentTarget.value)}
                disabled={one.frames.length === 0}
              >
                {one.frames.length === 0 && <option value="">no burst was found in it</option>}
                {one.frames.map((frame) => (
                  <option key={frame.id} value={frame.id}>
                    {frameWords(frame)}
                  </option>
                ))}
              </select>
            </label>
            {align === "offset" && (
              <Offset
                letter={one.letter}
                seconds={offsetsSeconds[one.at] ?? 0}
                mostSeconds={one.recording.seconds}
                onSeconds={(seconds) =>
                  change({ offsetsSeconds: picks.map((_, i) => (i === one.at ? seconds : (offsetsSeconds[i] ?? 0))) })
                }
              />
            )}
            <button
              type="button"
              class="button small"
              aria-label={`Take off ${one.letter}, ${one.recording.name}`}
              onClick={() => change(without(comparison, one.at))}
            >
              Take off
            </button>
          </li>
        ))}
      </ul>
      {picks.length < MOST_PICKS && (
        <label class="field add-pick">
          <span>Add a recording</span>
          <select
            value=""
            onChange={(event) => {
              const hash = event.currentTarget.value;
              event.currentTarget.value = "";
              if (hash !== "") change({ picks: [...picks, { hash, frame: undefined }], range: undefined });
            }}
          >
            <option value="">{all.length === 0 ? "there is none yet" : "choose one"}</option>
            {all.map(({ hash, name }) => (
              <option key={hash} value={hash}>
                {name}
              </option>
            ))}
          </select>
        </label>
      )}
      <fieldset class="align">
        <legend>What lies at zero</legend>
        {ALIGNMENTS.map((one) => (
          <label key={one} class="check">
            <input
              type="radio"
              name="align"
              checked={align === one}
              onChange={() => change(aligned(one, these, comparison))}
            />
            {ALIGNMENT_WORDS[one]}
          </label>
        ))}
      </fieldset>
    </section>
  );
}

/** Typed times begin where the bursts do, so that nothing jumps out of sight. */
function aligned(align: Comparison["align"], these: PicksProps["these"], { picks }: Comparison): Partial<Comparison> {
  if (align !== "offset") return { align, range: undefined };
  const offsetsSeconds = picks.map((_, i) => {
    const start = these.find(({ at }) => at === i)?.frame?.fromSeconds ?? 0;
    return Number(start.toFixed(6));
  });
  return { align, offsetsSeconds, range: undefined };
}

interface OffsetProps {
  readonly letter: string;
  readonly seconds: number;
  readonly mostSeconds: number;
  readonly onSeconds: (seconds: number) => void;
}

function Offset({ letter, seconds, mostSeconds, onSeconds }: OffsetProps): JSX.Element {
  const [wrong, setWrong] = useState<string>();
  return (
    <label class="field pick-offset">
      <span>{`Second of ${letter} at zero`}</span>
      <input
        type="text"
        inputMode="decimal"
        value={String(seconds)}
        aria-invalid={wrong !== undefined}
        onChange={(event) => {
          const typed = numberTyped(event.currentTarget.value, 0, mostSeconds, "The time in seconds");
          setWrong(typed.ok ? undefined : typed.says);
          if (typed.ok && typed.value !== null) onSeconds(typed.value);
        }}
      />
      {wrong !== undefined && <span class="wrong">{wrong}</span>}
    </label>
  );
}

function recordingHref({ recording, frame }: Picked): string {
  return `/recordings/${recording.hash}${frame === undefined ? "" : `?v=1&sel=frame.${frame.id}`}`;
}
