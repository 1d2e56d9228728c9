import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LotBody, SpecimenBody } from "../../../server/http/wire/lots.ts";
import { listenForLot } from "../../calls/lots.ts";
import { asideWith, justHeard, listens, nextNumber, registeredAs } from "../../model/bench/lotWords.ts";
import { counted } from "../../model/quantities.ts";
import { addressOf } from "../../model/route.ts";
import { clockWithSeconds } from "../../model/times.ts";
import { Identity } from "../../views/Identity.tsx";
import { Mark } from "../../views/Mark.tsx";
import type { StageProps } from "./LotPage.tsx";

type RegisterProps = Pick<StageProps, "lot" | "here">;

/** Which sensor is which specimen: one wake after the other, and nothing to type. */
export function RegisterStage({ lot, here }: RegisterProps): JSX.Element {
  return (
    <>
      <Listening lot={lot} here={here} />
      <JustHeard lot={lot} here={here} />
      <Waking lot={lot} here={here} />
      <Odd rows={lot.rows} id={lot.id} />
      <Silent lot={lot} here={here} />
      <OtherSensors lot={lot} here={here} />
    </>
  );
}

/** Begins and ends the listening; what is said outside of it is not this lot's. */
export function Listening({ lot, here }: RegisterProps): JSX.Element {
  const isOn = listens(lot);
  const hasReceiver = lot.receiverIds.length > 0;
  return (
    <p class="main-action">
      <button
        type="button"
        class={isOn || !hasReceiver ? "button" : "button main"}
        onClick={() => void here.run(() => listenForLot(lot.id, !isOn))}
      >
        {isOn ? "Stop listening for this lot" : "Listen for this lot"}
      </button>
      <span>
        {isOn
          ? "What is heard now counts for this lot."
          : hasReceiver
            ? "Not listening: what receivers hear now is not this lot's. A replay and a recording count whole, whenever they came."
            : "No receiver is ticked at “Set up”; recordings that are ticked there count all the same."}
      </span>
    </p>
  );
}

/** What was marked by hand, each to be taken back. */
function WakeMarks({ lot, here }: RegisterProps): JSX.Element | null {
  if (lot.wakes.length === 0) return null;
  const same = (a: LotBody["wakes"][number], b: LotBody["wakes"][number]) => a.number === b.number && a.at === b.at;
  return (
    <details>
      <summary>Marked by hand ({lot.wakes.length})</summary>
      <ul class="list">
        {lot.wakes.toReversed().map((mark) => (
          <li key={`${mark.number} ${mark.at}`}>
            {clockWithSeconds(mark.at)}: specimen {mark.number} woken{" "}
            <button
              type="button"
              class="button small"
              onClick={() =>
                void here.save(
                  (now) => ({ wakes: now.wakes.filter((one) => !same(one, mark)) }),
                  `Taken back: specimen ${mark.number} woken`,
                )
              }
            >
              Take the mark back
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** The last that spoke, to be read from two metres. */
function JustHeard({ lot, here }: RegisterProps): JSX.Element {
  const last = justHeard(lot.rows);
  return (
    <div class="answer" role="status" aria-label="Just heard">
      <p class="caption">Just heard</p>
      {last?.identity == null ? (
        <p>Nothing yet. Wake the first specimen next to the receiver.</p>
      ) : (
        <>
          <p class="just-heard">
            <a class="just-heard-number" href={addressOf({ page: "specimen", id: lot.id, number: last.number })}>
              {last.number}
            </a>
            <Identity value={last.identity} large />
          </p>
          <p>
            Specimen {last.number}
            {last.body === "" ? "" : `, body ${last.body}`}, {counted(last.telegrams, "telegram")}, last at{" "}
            {clockWithSeconds(last.lastAt ?? "")}.
          </p>
          {last.flags.map(({ says }) => (
            <p key={says}>
              <Mark strength="look here" /> {says}
            </p>
          ))}
          <p>
            <NotOfThisLot identity={last.identity} here={here} />
          </p>
        </>
      )}
    </div>
  );
}

function Waking({ lot, here }: RegisterProps): JSX.Element {
  const next = nextNumber(lot);
  const [chosen, setChosen] = useState("");
  const numbers = lot.rows.map(({ number }) => number);
  const picked = Number(chosen);
  return (
    <section aria-labelledby="lot-wake">
      <h3 id="lot-wake">Wake one, then mark it</h3>
      <p class="main-action">
        {next === undefined ? (
          "Every specimen was heard or woken."
        ) : (
          <button type="button" class="button main" onClick={() => void here.wake(next)}>
            Woken: specimen {next}
          </button>
        )}
      </p>
      <p class="caption">
        Press as you wake it: what answers within the next seconds is put on this number. A receiver that marks wakes by
        itself needs no press.
      </p>
      <WakeMarks lot={lot} here={here} />
      {numbers.length > 0 && (
        <div class="inline-form">
          <label class="field">
            <span class="caption">Another one, or once more</span>
            <select value={chosen} onChange={(event) => setChosen(event.currentTarget.value)}>
              <option value="">choose its number</option>
              {lot.rows.map(({ number, state, wakes }) => (
                <option key={number} value={String(number)}>
                  {`${number}, ${state}${wakes === 0 ? "" : `, woken ${wakes === 1 ? "once" : `${wakes} times`}`}`}
                </option>
              ))}
            </select>
          </label>
          <button
            type="button"
            class="button"
            disabled={!numbers.includes(picked)}
            onClick={() => void here.wake(picked)}
          >
            Woken: the chosen one
          </button>
        </div>
      )}
    </section>
  );
}

/** What is odd about those that were heard, at once. */
function Odd({ rows, id }: { readonly rows: LotBody["rows"]; readonly id: string }): JSX.Element | null {
  const odd = rows.filter(({ flags, leftOut }) => flags.length > 0 && leftOut === "");
  if (odd.length === 0) return null;
  return (
    <section aria-labelledby="lot-odd">
      <h3 id="lot-odd">Look at these</h3>
      <ul class="list">
        {odd.map(({ number, flags }) => (
          <li key={number}>
            <a href={addressOf({ page: "specimen", id, number })}>Specimen {number}</a>:{" "}
            {flags.map(({ kind, says }) => (
              <span key={says}>
                <Mark strength="look here" words={kind} /> {says}{" "}
              </span>
            ))}
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Those that were woken in vain: one silent sensor stops nothing. */
function Silent({ lot, here }: RegisterProps): JSX.Element | null {
  const silent = lot.rows.filter(({ state }) => state === "no answer" || state === "sending, not readable");
  if (silent.length === 0) return null;
  return (
    <section aria-labelledby="lot-silent">
      <h3 id="lot-silent">Woken, and not read</h3>
      <ul class="list">
        {silent.map(({ number, state, says }) => (
          <li key={number} class="change">
            <span>
              <a href={addressOf({ page: "specimen", id: lot.id, number })}>Specimen {number}</a>:{" "}
              <Mark strength="look here" words={state} /> {says}
            </span>
            <button type="button" class="button small" onClick={() => void here.wake(number)}>
              Woken again<span class="heard-only">: specimen {number}</span>
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Sensors on no row: more than were drawn, or put aside. */
function OtherSensors({ lot, here }: RegisterProps): JSX.Element | null {
  if (lot.others.length === 0 && lot.unreadableBursts === 0) return null;
  const open = lot.rows.filter(({ identity, leftOut }) => identity === null && leftOut === "");
  return (
    <section aria-labelledby="lot-others">
      <h3 id="lot-others">Heard, and on no row</h3>
      <ul class="list">
        {lot.others.map(({ identity, telegrams, because, aside }) => (
          <li key={identity} class="other">
            <Identity value={identity} />
            <span>
              {counted(telegrams, "telegram")}; {because}
            </span>
            {aside ? (
              <button
                type="button"
                class="button small"
                onClick={() =>
                  void here.save(
                    (now) => ({ aside: now.aside.filter((one) => one !== identity) }),
                    `${identity} is back in the lot`,
                  )
                }
              >
                Back into the lot<span class="heard-only">: {identity}</span>
              </button>
            ) : (
              <NotOfThisLot identity={identity} here={here} />
            )}
            {!aside && open[0] && <PutOnSpecimen identity={identity} open={open} here={here} />}
          </li>
        ))}
        {lot.unreadableBursts > 0 && (
          <li>
            {counted(lot.unreadableBursts, "burst")} that no layout reads. Its layout may be worked out in{" "}
            <a href="/layouts">the workshop</a>.
          </li>
        )}
      </ul>
    </section>
  );
}

interface IdentityProps {
  readonly identity: string;
  readonly here: StageProps["here"];
}

/** Puts a sensor aside that is heard but was not drawn, such as a neighbour's car. */
export function NotOfThisLot({ identity, here }: IdentityProps): JSX.Element {
  return (
    <button
      type="button"
      class="button small"
      onClick={() => void here.save((now) => asideWith(now, identity), `${identity} is not of this lot`)}
    >
      Not of this lot<span class="heard-only">: {identity}</span>
    </button>
  );
}

interface PutProps extends IdentityProps {
  /** Rows without a sensor. */
  readonly open: readonly SpecimenBody[];
}

function PutOnSpecimen({ identity, open, here }: PutProps): JSX.Element {
  const [chosen, setChosen] = useState("");
  const number = open.some((one) => String(one.number) === chosen) ? Number(chosen) : (open[0]?.number ?? 1);
  return (
    <span class="put-on">
      <button
        type="button"
        class="button small"
        onClick={() =>
          void here.save((now) => registeredAs(now, number, identity), `${identity} is specimen ${number}`)
        }
      >
        It is specimen {number}
      </button>
      {open.length > 1 && (
        <select
          aria-label={`Which specimen ${identity} is`}
          value={String(number)}
          onChange={(event) => setChosen(event.currentTarget.value)}
        >
          {open.map((one) => (
            <option key={one.number} value={String(one.number)}>
              {one.number}
            </option>
          ))}
        </select>
      )}
    </span>
  );
}
