import type { JSX } from "preact";
import { useMemo, useState } from "preact/hooks";
import type { RecordingBody } from "../../../server/http/wire.ts";
import { type LayoutEntry, layouts } from "../../calls/layouts.ts";
import { type Records, recordings } from "../../calls/recordings.ts";
import { useLoaded } from "../../loaded.ts";
import { type Comparison, compareSearch, type Pick } from "../../model/compare/address.ts";
import type { Meant } from "../../model/compare/picked.ts";
import { Empty } from "../../views/Empty.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { Compared } from "./Compared.tsx";
import { useHeld, usePicked } from "./useHeld.ts";
import "../recordings/recordings.css";
import "./compare.css";

interface BurstsProps {
  /** Two; the same ones as long as they are to be shown. */
  readonly picks: readonly Pick[];
}

/** Two bursts held against each other on a page that is about something else. */
export function ComparedBursts({ picks }: BurstsProps): JSX.Element {
  const loaded = useLoaded("recordings", recordings);
  const shelf = useLoaded("layouts", layouts);
  return (
    <Waiting loaded={loaded} what="the recordings">
      {(all) => (
        <Waiting loaded={shelf} what="the layouts">
          {(entries) => <Held picks={picks} all={all} shelf={entries} />}
        </Waiting>
      )}
    </Waiting>
  );
}

interface HeldProps extends BurstsProps {
  readonly all: readonly RecordingBody[];
  readonly shelf: readonly LayoutEntry[];
}

function Held(given: HeldProps): JSX.Element {
  const { meant, records } = useHeld(given.picks, given.all);
  return (
    <Waiting loaded={records} what="what was found in them">
      {(found) => <Found {...given} meant={meant} found={found} />}
    </Waiting>
  );
}

interface FoundProps extends HeldProps {
  readonly meant: readonly Meant[];
  readonly found: ReadonlyMap<string, Records>;
}

function Found(given: FoundProps): JSX.Element {
  const { picks } = given;
  const these = usePicked(given);
  const [own, setOwn] = useState<Partial<Comparison>>({});
  const here = useMemo(() => {
    const comparison: Comparison = { picks, align: "sync", offsetsSeconds: [], range: undefined, ...own };
    const change = (changed: Partial<Comparison>) => setOwn((before) => ({ ...before, ...changed }));
    return { comparison, change, refused: [] };
  }, [picks, own]);
  const address = `/compare${compareSearch(here.comparison)}`;
  if (these.length < 2) {
    return (
      <Empty
        says="The samples of one of the two bursts are no longer kept here."
        action={{ label: "All recordings", href: "/recordings" }}
      />
    );
  }
  return (
    <div class="compare">
      <p>
        {these.map(({ letter, recording }, i) => (
          <span key={letter}>
            {i > 0 && "; "}
            <b>{letter}</b> {recording.name}
          </span>
        ))}
        . <a href={address}>Open them in Compare</a>
      </p>
      <Compared here={here} these={these} />
    </div>
  );
}
