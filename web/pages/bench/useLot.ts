import type { LotBody } from "../../../server/http/wire/lots.ts";
import { type Autosave, type Drafted, useAutosave } from "../../autosave.ts";
import { addFill, changeLot, type FillRead, lot as lotOf, wakeSpecimen } from "../../calls/lots.ts";
import { useLiveReload } from "../../live.ts";
import { lotEntryNames, rebasedLot } from "../../model/bench/lotChange.ts";
import { LOT_BOXES, type LotChange, type LotKey, lotBoxName, lotDraft, lotTyped } from "../../model/bench/lotDraft.ts";
import { listens } from "../../model/bench/lotWords.ts";
import type { LiveKind } from "../../model/liveEvents.ts";
import { type Revised, useRevised } from "../../revised.ts";

/** A lot on the page, and the ways to change it. */
export interface LotHere extends Revised<LotBody, LotChange> {
  readonly wake: (number: number) => Promise<void>;
  /** Whether it was taken. */
  readonly fill: (read: FillRead, says: string) => Promise<boolean>;
  /** What else than its own changes may change what the server makes of it. */
  readonly follows: readonly LiveKind[];
}

/** Boxes of a lot that save themselves. */
export type LotAutosave = Autosave<LotKey>;

const NOTHING: readonly LiveKind[] = [];
/** What a lot follows while it listens, and while it does not. */
const HEARD: readonly LiveKind[] = ["telegram", "burst", "receiver", "recording", "snapshot"];
const QUIET: readonly LiveKind[] = ["receiver", "recording", "snapshot"];

export function useLot(id: string): LotHere {
  const here = useRevised<LotBody, LotChange>({
    key: `lot ${id}`,
    id,
    ask: () => lotOf(id),
    write: (revision, change) => changeLot(id, revision, change),
    rebased: rebasedLot,
    event: "lot",
    follows: NOTHING,
  });
  const current = here.loaded.state === "there" ? here.loaded.value : undefined;
  const follows = current && listens(current) ? HEARD : QUIET;
  useLiveReload(follows, here.loaded.reload);
  return {
    ...here,
    follows,
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
