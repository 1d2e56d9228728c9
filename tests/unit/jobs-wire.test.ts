import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { cardOf } from "../../server/http/jobBody.ts";
import { JobBody, JobInputBody, type WheelLineBody } from "../../server/http/wire.ts";
import { emptyJob, emptyWheel, type JobCard } from "../../server/jobs/jobCard.ts";
import { type WheelLine, wheelLines } from "../../server/jobs/wheelLines.ts";
import { burstRecord, DAY, telegram } from "../support/store-data.ts";

// The domain must not know HTTP, so its types stand twice. These do not compile once one of them gains or loses a key.
const cardIsWire = (card: JobCard): JobInputBody => ({
  ...card,
  wheels: [...card.wheels],
  walkOrder: [...card.walkOrder],
  wakes: [...card.wakes],
  moved: [...card.moved],
  answers: [...card.answers],
  readBack: [...card.readBack],
  receiverIds: [...card.receiverIds],
  recordingHashes: [...card.recordingHashes],
});
const wireIsCard = (body: JobInputBody): JobCard => body;
const lineIsWire = (line: WheelLine): WheelLineBody => ({ ...line, identityBy: null });
const wireIsLine = (body: WheelLineBody): WheelLine => body;

describe("what the domain makes fits the bodies of the HTTP interface", () => {
  it("an empty card", () => {
    expect(JobInputBody.parse(emptyJob())).toEqual(emptyJob());
    expect(wireIsCard(cardIsWire(emptyJob()))).toEqual(emptyJob());
  });

  it("a card that was stored before cards had all they have now", () => {
    const old = { plate: "OLD 1", odometerKm: 5, wheels: [{ position: "left front", identity: "3a51c0de" }] };
    expect(cardOf({ body: old })).toEqual({
      ...emptyJob(),
      ...old,
      wheels: [emptyWheel("left front", "3a51c0de")],
    });
  });

  it("a card with lines of every state, and others", () => {
    const wheels = [emptyWheel("left front", "3a51c0de"), emptyWheel("right front", "3a51c1a7")];
    const card = { ...emptyJob(), wheels };
    const stranger = telegram("t2", { identity: "51a0f2" });
    const all = [
      wheelLines(card, [telegram("t1"), stranger], [burstRecord(0)], builtinLayouts),
      wheelLines(card, [stranger], [], builtinLayouts),
    ];
    const states = all.flatMap(({ lines }) => lines.map(({ state }) => state));
    expect(new Set(states)).toEqual(new Set(["heard", "sending, not readable", "not heard"]));
    for (const worked of all) {
      const about = { id: "7K3F", revision: 1, createdAt: DAY, changedAt: DAY, sample: false, unreadableBursts: 1 };
      const lines = worked.lines.map(lineIsWire);
      const others = worked.others.map((other) => ({ ...other, side: "nearby", because: "weaker" }));
      const body = { ...card, ...about, lines, others, walk: [], proof: [] };
      expect(JobBody.parse(body)).toEqual(body);
      expect(lines.map(wireIsLine)).toMatchObject(worked.lines);
      expect(worked.others.map(({ identity }) => identity)).toEqual(["51a0f2"]);
    }
  });
});
