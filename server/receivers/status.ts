import type { Gap, ReceiverKind, StoredReceiver } from "../store/store.ts";
import { bootOfKey } from "./boot.ts";
import type { LinkState } from "./link.ts";
import type { SelfCheck } from "./selfCheck.ts";

/** A receiver and how it fares, as it is told to other programs. */
export interface ReceiverStatus {
  readonly id: string;
  readonly name: string;
  readonly kind: ReceiverKind;
  readonly path: string | null;
  readonly baudRate: number | null;
  readonly port: number | null;
  /** Whether it may come in from the network, by its key. */
  readonly hasKey: boolean;
  readonly state: LinkState;
  readonly says: string;
  /** When that state began, RFC 3339. */
  readonly since: string;
  readonly lastHeardAt: string | null;
  /** When it last brought a telegram whose check agreed. */
  readonly provedAt: string | null;
  readonly selfCheck: SelfCheck | null;
  readonly carrierHz: number[];
  readonly lines: number;
  readonly bursts: number;
  readonly telegrams: number;
  readonly quarantined: number;
  readonly gaps: {
    readonly boot: string | null;
    readonly from: number;
    readonly to: number;
    readonly noticedAt: string;
    readonly state: Gap["state"];
  }[];
}

/** What changes while it runs. */
export interface Faring {
  state: LinkState;
  says: string;
  since: string;
  lastHeardAt: string | null;
  provedAt: string | null;
  selfCheck: SelfCheck | null;
  /** It sends faster than that is kept. */
  mustWait: boolean;
  carrierHz: readonly number[];
  lines: number;
  bursts: number;
  telegrams: number;
  quarantined: number;
}

const SLOW_DISK = "It sends faster than the disk takes it, so it has to wait; nothing is lost.";

/** @param waits Why a sender has to wait, where it is not the disk. */
export function receiverStatus(
  receiver: StoredReceiver,
  faring: Faring,
  gaps: readonly Gap[],
  waits: string = SLOW_DISK,
): ReceiverStatus {
  const { id, name, kind, path, baudRate, port, keyHash } = receiver;
  const { mustWait, ...told } = faring;
  return {
    id,
    name,
    kind,
    path,
    baudRate,
    port,
    hasKey: keyHash !== null,
    ...told,
    says: mustWait ? `${faring.says} ${waits}` : faring.says,
    carrierHz: [...faring.carrierHz],
    gaps: gaps.map(({ boot, from, to, noticedAt, state }) => ({ boot: bootOfKey(boot), from, to, noticedAt, state })),
  };
}
