import { useLayoutEffect, useRef } from "preact/hooks";
import type { LotBody } from "../../../server/http/wire/lots.ts";
import { type Autosave, type Drafted, useAutosave } from "../../autosave.ts";
import { addFill, changeLot, type FillRead, lot as lotOf, wakeSpecimen } from "../../calls/lots.ts";
import { lotEntryNames, rebasedLot } from "../../model/bench/lotChange.ts";
import { LOT_BOXES, type LotChange, type LotKey, lotBoxName, lotDraft, lotTyped } from "../../model/bench/lotDraft.ts";
import type { LiveKind } from "../../model/liveEvents.ts";
import { type Revised, useRevised } from "../../revised.ts";

/** A lot on the page, and the ways to change it. */
export interface LotHere extends Revised<LotBody, LotChange> {
  readonly wake: (number: number) => Promise<void>;
  /** Whether it was taken. */
  readonly fill: (read: FillRead, says: string) => Promise<boolean>;
  /** The clock of the lot by now. */
  readonly now: () => string;
}

/** Boxes of a lot that save themselves. */
export type LotAutosave = Autosave<LotKey>;

const FOLLOWS: readonly LiveKind[] = ["telegram", "burst", "recording", "snapshot"];

export function useLot(id: string): LotHere {
  const here = useRevised<LotBody, LotChange>({
    key: `lot ${id}`,
    id,
    ask: () => lotOf(id),
    write: (revision, change) => changeLot(id, revision, change),
    rebased: rebasedLot,
    event: "lot",
    follows: FOLLOWS,
  });
  const current = here.loaded.state === "there" ? here.loaded.value : undefined;
  const told = useRef({ clockMs: Date.now(), atMs: performance.now() });
  const clock = current?.clock;
  useLayoutEffect(() => {
    if (clock !== undefined) told.current = { clockMs: Date.parse(clock), atMs: performance.now() };
  }, [clock]);
  return {
    ...here,
    now: () => new Date(told.current.clockMs + performance.now() - told.current.atMs).toISOString(),
    async wake(number) {
      await here.run(
        () => wakeSpecimen(id, number),
        (after) => {
          const mine = after.wakes.at(-1);
          return {
            says: `Woken: specimen ${number}`,
            undo: (now) => ({ wakes: now.wakes.filter((one) => one.at !== mine?.at || one.number !== number) }),
          };
        },
      );
    },
    async fill(read, says) {
      const after = await here.run(
        () => addFill(id, read),
        (body) => {
          const mine = body.fills.at(-1)?.id;
          return { says, undo: (now) => ({ fills: now.fills.filter((one) => one.id !== mine) }) };
        },
      );
      return after !== undefined;
    },
  };
}

const DRAFTED: Drafted<LotBody, LotChange, LotKey> = {
  boxes: LOT_BOXES,
  stored: lotDraft,
  changed: lotTyped,
  names: lotEntryNames,
  nameOf: lotBoxName,
  keptAs: ({ id }) => `lot.${id}`,
};

export function useLotAutosave(lot: LotBody, here: LotHere): LotAutosave {
  return useAutosave(lot, here, DRAFTED);
}
