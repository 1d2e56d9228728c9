import type { JSX } from "preact";
import type { RecordingBody } from "../../../server/http/wire.ts";
import { type LayoutEntry, layouts } from "../../calls/layouts.ts";
import { type Records, recordings } from "../../calls/recordings.ts";
import { useLiveReload } from "../../live.ts";
import { useLoaded } from "../../loaded.ts";
import { LEAST_DIGITS, without } from "../../model/compare/address.ts";
import type { Meant } from "../../model/compare/picked.ts";
import { listed } from "../../model/quantities.ts";
import { Empty } from "../../views/Empty.tsx";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { Compared } from "./Compared.tsx";
import { Picks } from "./Picks.tsx";
import { type ComparisonHere, useComparison } from "./useComparison.ts";
import { useHeld, usePicked } from "./useHeld.ts";
import "../recordings/recordings.css";
import "./compare.css";

/** Frames of one or of several recordings held against each other; what is compared stands in the address. */
export function ComparePage(): JSX.Element {
  const here = useComparison();
  const loaded = useLoaded("recordings", recordings);
  const shelf = useLoaded("layouts", layouts);
  useLiveReload(["recording", "snapshot"], loaded.reload);
  return (
    <Page
      title="Compare"
      lead="Frames of one or of several recordings, held against each other: their bits, their signals and what was measured."
    >
      <Waiting loaded={loaded} what="the recordings">
        {(all) => (
          <Waiting loaded={shelf} what="the layouts">
            {(entries) => <Held here={here} all={all} shelf={entries} />}
          </Waiting>
        )}
      </Waiting>
    </Page>
  );
}

interface HeldProps {
  readonly here: ComparisonHere;
  readonly all: readonly RecordingBody[];
  readonly shelf: readonly LayoutEntry[];
}

/** What of the address is held here, and what has to be asked for. */
function Held({ here, all, shelf }: HeldProps): JSX.Element {
  const { meant, records } = useHeld(here.comparison.picks, all);
  return (
    <div class="compare">
      {here.refused.map((text) => (
        <p key={text}>
          <Mark strength="look here" words={`“${text}” names no frame`} /> A recording is named by at least{" "}
          {LEAST_DIGITS} digits of its hash, then a colon and a frame.
        </p>
      ))}
      {meant.map(
        (one, at) =>
          one.kind !== "held" && (
            <NotHeld
              key={`${one.pick.hash} ${at}`}
              meant={one}
              onRemove={() => here.change(without(here.comparison, at))}
            />
          ),
      )}
      <Waiting loaded={records} what="what was found in them">
        {(found) => <Found here={here} all={all} shelf={shelf} meant={meant} found={found} />}
      </Waiting>
    </div>
  );
}

interface FoundProps extends HeldProps {
  readonly meant: readonly Meant[];
  readonly found: ReadonlyMap<string, Records>;
}

function Found({ here, all, shelf, meant, found }: FoundProps): JSX.Element {
  const these = usePicked({ meant, picks: here.comparison.picks, found, all, shelf });
  return (
    <>
      <Picks here={here} these={these} all={all} />
      {these.length < 2 ? (
        <Empty
          says={
            these.length === 0
              ? "Nothing is chosen yet. Add two recordings above, or press “Compare this frame with another” at a frame."
              : "One is chosen. Add another one above to hold it against."
          }
          action={{ label: "All recordings", href: "/recordings" }}
        />
      ) : (
        <Compared here={here} these={these} />
      )}
    </>
  );
}

interface NotHeldProps {
  readonly meant: Exclude<Meant, { kind: "held" }>;
  readonly onRemove: () => void;
}

function NotHeld({ meant, onRemove }: NotHeldProps): JSX.Element {
  const { hash, frame } = meant.pick;
  return (
    <div class="not-held">
      {meant.kind === "several" ? (
        <p>
          <Mark strength="look here" words="May be several" /> <span class="hash">{hash}</span> is how{" "}
          {listed(meant.names)} begin; give more digits of the hash.
        </p>
      ) : (
        <p>
          <Mark strength="look here" words="Not here" /> The recording whose hash begins with{" "}
          <span class="hash">{hash}</span>
          {frame === undefined ? "" : `, its frame ${frame},`} is not held here. If you have its file, add it; this page
          then shows it.
        </p>
      )}
      <p class="form-foot">
        {meant.kind === "missing" && (
          <a class="button" href="/recordings">
            Add it
          </a>
        )}
        <button type="button" class="button" onClick={onRemove}>
          Go on without it
        </button>
      </p>
    </div>
  );
}
