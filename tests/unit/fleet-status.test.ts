import { describe, expect, it } from "vitest";
import { createGate } from "../../server/fleet/gate.ts";
import type { FleetStatus } from "../../server/fleet/status.ts";
import { fleetLines } from "../../server/fleet/statusLines.ts";
import { type FleetFacts, troublesOf } from "../../server/fleet/troubles.ts";
import { copiesWords, isSound, lagWords, serverWords } from "../../web/model/fleetWords.ts";

const copy = (server: string, state: "leads" | "current" | "behind" | "gone", behind = 0) => ({
  server,
  state,
  behind,
});
const server = (name: string, answers = true) => ({
  address: `10.0.0.${name.slice(1)}:4222`,
  name,
  version: "2.10.22",
  answers,
  leads: answers ? 1 : null,
});
const stream = (leader: string | null, copies: ReturnType<typeof copy>[]) => ({
  name: "wheelgram-lines",
  holds: "lines of receivers",
  leader,
  copies,
  messages: 12,
  bytes: 3_400_000,
});
const sound: FleetFacts = {
  at: "2026-11-25T09:00:00.000Z",
  nats: {
    by: "10.0.0.1:4222",
    servers: [server("s1"), server("s2"), server("s3")],
    streams: [stream("s1", [copy("s1", "leads"), copy("s2", "current"), copy("s3", "current")])],
  },
  store: { answers: true, because: null },
  receivers: [{ id: "r1", name: "gate", home: "office", state: "listening", lastHeardAt: "2026-11-25T08:59:58.000Z" }],
  members: [
    { kind: "worker", name: "yard-1", since: sinceText(), version: "1", partitions: [1, 2], busy: ["x"], counts: {} },
  ],
  lag: { lines: 0, oldestLineSeconds: null, work: 0, workRunning: 0, oldestWorkSeconds: null },
  aside: [],
};
function sinceText(): string {
  return "2026-11-25T08:00:00.000Z";
}
const said = (facts: FleetFacts) => troublesOf(facts).map(({ strength, says }) => `${strength}: ${says}`);

describe("what is said of a fleet", () => {
  it("is nothing where all is well", () => {
    expect(troublesOf(sound)).toEqual([]);
  });

  it("is what it means that one server is gone, and what to do", () => {
    const facts = { ...sound, nats: { ...sound.nats, servers: [server("s1"), server("s2", false), server("s3")] } };
    expect(troublesOf(facts)).toEqual([
      {
        strength: "look here",
        says: "s2 (10.0.0.2:4222) is gone. The others go on and nothing is lost, but if one more goes, nothing is taken in any more.",
        nextStep: "Start it again; what was missed is caught up without being asked.",
      },
    ]);
  });

  it("is that there is no quorum, and nothing about workers whom nobody hears of then", () => {
    const nats = {
      by: "10.0.0.1:4222",
      servers: [server("s1"), server("s2", false), server("s3", false)],
      streams: [stream(null, [copy("s1", "behind", 3)])],
    };
    const troubles = troublesOf({ ...sound, nats, members: [] });
    expect(troubles).toHaveLength(1);
    expect(troubles[0]?.says).toMatch(/^There is no quorum for what the fleet keeps/);
    expect(troubles[0]?.nextStep).toMatch(/^Start s2 \(10\.0\.0\.2:4222\) and s3/);
    expect(said({ ...sound, nats: { ...nats, streams: null } })[0]).toContain("no quorum");
    const choosing = { ...nats, servers: [server("s1"), server("s2", false), server("s3")], streams: null };
    expect(troublesOf({ ...sound, nats: choosing })[0]?.nextStep).toMatch(/^Wait ten seconds: .* Start s2/);
  });

  it("is that no server answers", () => {
    const servers = [server("s1", false), server("s2", false), server("s3", false)];
    expect(said({ ...sound, nats: { by: null, servers, streams: null } })[0]).toMatch(/^stop: No NATS server answers/);
  });

  it("is that PostgreSQL is away, that no worker runs, that they are late, and that something is set aside", () => {
    const aside = {
      id: "a",
      kind: "recording",
      name: "x",
      tries: 3,
      because: "y",
      at: sinceText(),
      worker: "w",
    } as const;
    expect(
      said({ ...sound, store: { answers: false, because: "nothing listens there" }, members: [], aside: [aside] }),
    ).toEqual([
      expect.stringContaining("stop: PostgreSQL is away."),
      "stop: No worker runs, so what receivers send is kept and not decoded.",
      "look here: One recording was set aside after three tries; the rest went on.",
    ]);
    const lag = { ...sound.lag, lines: 9, oldestLineSeconds: 61.2 };
    expect(said({ ...sound, lag })).toEqual([
      "look here: Lines wait for 61 s before they are decoded: the workers do not keep up.",
    ]);
  });
});

describe("a fleet in a terminal", () => {
  it("is a table with what is wrong above it", () => {
    const aside = {
      id: "0123456789abcdef",
      kind: "recording",
      name: "bay 3",
      tries: 3,
      because: "It ends too soon.",
      at: "2026-11-25T08:58:00.000Z",
      worker: "yard-1",
    } as const;
    const facts = { ...sound, aside: [aside] };
    const status: FleetStatus = { ...facts, troubles: [...troublesOf(facts)] };
    const text = fleetLines(status, Date.parse(sound.at)).join("\n");
    expect(text).toContain("▲ One recording was set aside after three tries; the rest went on.");
    expect(text).toContain("  s1  10.0.0.1:4222  answers, 2.10.22  leads 1");
    expect(text).toContain("  lines of receivers  led by s1  s2 current, s3 current  12 messages, 3.4 MB");
    expect(text).toContain("  gate  office  listening  heard 2 s ago");
    expect(text).toContain("  yard-1  worker  since 60 min ago  2 partitions  x");
    expect(text).toContain("  0123456789ab  bay 3  3 tries, 2 min ago, last on yard-1  It ends too soon.");
  });
});

describe("the words of the page", () => {
  it("tell how copies stand, and which of them is odd", () => {
    const odd = stream("s1", [copy("s1", "leads"), copy("s2", "behind", 7), copy("s3", "gone")]);
    expect(copiesWords(odd)).toBe("s2 7 behind, s3 gone");
    expect([isSound(odd), isSound(stream("s1", [copy("s1", "leads")]))]).toEqual([false, true]);
    expect(serverWords(server("s2", false))).toBe("gone");
    expect(serverWords(server("s2"))).toBe("answers, leads 1 stream");
  });

  it("tell what waits, and where that is not known", () => {
    const lag = { lines: 12, oldestLineSeconds: 1.26, work: 3, workRunning: 2, oldestWorkSeconds: 130 };
    expect(lagWords({ lag })).toEqual([
      "At most 12 messages, the oldest for 1.3 s.",
      "3 waiting, 2 under way, the oldest for 2 min.",
    ]);
    expect(lagWords({ lag: { ...lag, lines: null, work: null } })[0]).toContain("Not known");
    expect(lagWords(sound)).toEqual(["None waits.", "None waits."]);
  });
});

describe("a gate", () => {
  it("lets one in alone once the others are out, and those after it once it is", async () => {
    const gate = createGate();
    const order: string[] = [];
    const first = await gate.enter(false);
    const second = await gate.enter(false);
    const alone = gate.enter(true).then((leave) => {
      order.push("alone");
      return leave;
    });
    const after = gate.enter(false).then((leave) => {
      order.push("after");
      return leave;
    });
    first();
    await new Promise((resume) => setTimeout(resume, 5));
    expect(order).toEqual([]);
    second();
    const leave = await alone;
    await new Promise((resume) => setTimeout(resume, 5));
    expect(order).toEqual(["alone"]);
    leave();
    (await after)();
    expect(order).toEqual(["alone", "after"]);
  });
});
