import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import {
  emptyWheel,
  type JobBody,
  type LayoutEntryBody,
  type ReceiverBody,
  type WheelLineBody,
} from "../../server/http/wire.ts";
import { emptyCard } from "../../web/model/jobChange.ts";

/** Bodies as the server gives them, with a sound car's figures where nothing else is asked for. */
export function wheelLine(more: Partial<WheelLineBody> = {}): WheelLineBody {
  return {
    position: "left front",
    identity: "3a51c0de",
    state: "heard",
    telegramId: null,
    carrierHz: 433_920_000,
    temperatureC: 20,
    battery: "good",
    gaugeKpa: 230,
    placardKpa: 230,
    lampKpa: 172.5,
    snrDb: 30,
    cold: null,
    identityBy: "hand",
    strength: "as expected",
    finding: "As placard.",
    ...more,
  };
}

export function job(more: Partial<JobBody> = {}): JobBody {
  return {
    id: "7K3F",
    revision: 3,
    createdAt: "2026-11-25T09:00:00.000000Z",
    changedAt: "2026-11-25T09:00:00.000000Z",
    sample: false,
    ...emptyCard(["r1"]),
    plate: "AB 1",
    placardFrontKpa: 230,
    placardRearKpa: 230,
    wheels: [emptyWheel("left front", "3a51c0de")],
    lines: [wheelLine()],
    others: [],
    walk: [],
    proof: [],
    unreadableBursts: 0,
    ...more,
  };
}

export function receiver(more: Partial<ReceiverBody> = {}): ReceiverBody {
  return {
    id: "r1",
    name: "by the door",
    kind: "tcp",
    path: null,
    baudRate: null,
    port: 4000,
    hasKey: false,
    state: "listening",
    says: "One receiver is connected.",
    since: "2026-11-25T09:00:00.000000Z",
    lastHeardAt: null,
    provedAt: null,
    selfCheck: null,
    carrierHz: [433_920_000],
    lines: 3,
    bursts: 1,
    telegrams: 0,
    quarantined: 1,
    gaps: [],
    ...more,
  };
}

export function layout(more: Partial<LayoutEntryBody> = {}): LayoutEntryBody {
  const pilot = builtinLayouts.find(({ id }) => id === "pilot-car");
  return { id: "pilot-car", version: 1, builtin: true, addedAt: null, layout: pilot, tests: [], ...more };
}
