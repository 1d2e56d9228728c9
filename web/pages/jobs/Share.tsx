import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { shareContents } from "../../calls/jobs.ts";
import { useLoaded } from "../../loaded.ts";
import { Waiting } from "../../views/Waiting.tsx";

/** A file for somebody else: what is left out, what is in it, and only then the file. */
export function Share({ id }: { readonly id: string }): JSX.Element {
  const [left, setLeft] = useState({ identities: true, plate: true, position: true });
  const kept = new URLSearchParams(
    Object.entries(left).flatMap(([name, isLeft]): [string, string][] => (isLeft ? [] : [[name, "keep"]])),
  );
  const keeps = kept.size === 0 ? "" : `?${kept}`;
  const loaded = useLoaded(`share ${id} ${keeps}`, () => shareContents(id, keeps));
  return (
    <details class="share">
      <summary>Share it with somebody else</summary>
      <fieldset>
        <legend>Leave out</legend>
        {SWITCHES.map(([name, words]) => (
          <label key={name} class="check">
            <input
              type="checkbox"
              checked={left[name]}
              onChange={(event) => {
                const { checked } = event.currentTarget;
                setLeft((before) => ({ ...before, [name]: checked }));
              }}
            />{" "}
            {words}
          </label>
        ))}
      </fieldset>
      <Waiting loaded={loaded} what="what is in the file">
        {(parts) => (
          <ul aria-label="What is in the file">
            {parts.map(({ what, isIn }) => (
              <li key={what}>
                <b>{isIn ? "In it:" : "Not in it:"}</b> {what}
              </li>
            ))}
          </ul>
        )}
      </Waiting>
      <p class="form-foot">
        <a class="button" href={`/api/v1/jobs/${encodeURIComponent(id)}/share${keeps}`} download>
          Save the file to share
        </a>
      </p>
    </details>
  );
}

const SWITCHES = [
  ["identities", "IDs of sensors: each gets another name, the same one every time"],
  ["plate", "Plate, names and all that was typed"],
  ["position", "Where it was"],
] as const;
