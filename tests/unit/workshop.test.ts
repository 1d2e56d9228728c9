import { describe, expect, it } from "vitest";
import type { Field } from "../../decoders/layouts/schema.ts";
import { parseLayout } from "../../decoders/layouts/validate.ts";
import { derive } from "../../decoders/workshop/derive.ts";
import { gather } from "../../decoders/workshop/gather.ts";
import { parseGaugeLog } from "../../decoders/workshop/gaugeLog.ts";
import { layoutOf } from "../../decoders/workshop/layoutOf.ts";
import { nextRecordings } from "../../decoders/workshop/next.ts";
import { prove } from "../../decoders/workshop/prove.ts";
import { rowsOf } from "../../decoders/workshop/rows.ts";
import { stations } from "../../decoders/workshop/told.ts";
import { findWordChecks } from "../../decoders/workshop/wordChecks.ts";
import { chance } from "../../seeds/noise.ts";
import { rampCase } from "../bench/derive.bench.ts";
import { judge } from "../bench/gaugeBay.ts";
import { dice } from "../bench/randomLayout.ts";

/** Draws that are read whole; how many of all are is told by the bench. */
const DRAWS = [3, 9, 12];

async function derived(draw: number, hasCheck = true) {
  const one = dice(chance(3000 + draw));
  const found = await rampCase(one, 3000 + draw, 20, hasCheck);
  const result = derive(found.bursts, found.log);
  if (!result.group) throw new Error("nothing belongs together");
  const parsed = parseLayout(layoutOf(result, { id: "derived", title: "Derived", notes: "" }));
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.complaints));
  return { ...found, result, layout: parsed.layout };
}

describe("a layout that was drawn by chance", () => {
  it.each(DRAWS)("is worked out, proved, and reads a hundred fresh telegrams (draw %i)", async (draw) => {
    const { bay, bursts, log, fresh, result, layout } = await derived(draw);
    expect(await judge(bay, layout, fresh())).toEqual({
      verified: 100,
      identity: true,
      pressure: true,
      temperature: true,
    });
    const proof = prove(result, layout, bursts, log);
    expect(proof.hits).toBeGreaterThanOrEqual(15);
    expect(proof.doubts).toEqual([]);
    const says = stations(result, proof).map(({ name, says }) => `${name}: ${says.join(" ")}`);
    expect(says).toHaveLength(6);
    expect(says.at(-1)).toMatch(/It holds\.$/);
    expect(says.join()).not.toMatch(/undefined|NaN|null/);
  });

  it.each([1, 4, 7])("has no check claimed where it has none, and is not proved (draw %i)", async (draw) => {
    const { bursts, log, result, layout } = await derived(draw, false);
    expect(result.derivation.checks).toEqual([]);
    expect(prove(result, layout, bursts, log).doubts.join()).toMatch(/No check was found/);
    expect(nextRecordings(result.derivation, log).length).toBeGreaterThan(0);
  });

  it("is the same whatever order its bursts come in, and changes none of them", async () => {
    const { bursts, log, layout } = await derived(DRAWS[0]!);
    const before = JSON.stringify(bursts);
    const turned = derive([...bursts].reverse(), log);
    if (!turned.group) throw new Error("nothing belongs together");
    expect(layoutOf(turned, { id: "derived", title: "Derived", notes: "" })).toEqual(layout);
    expect(JSON.stringify(bursts)).toBe(before);
  });

  it("is not proved by what somebody named wrongly", async () => {
    const { bursts, log, result, layout } = await derived(DRAWS[0]!);
    const [right] = result.derivation.fields.fields.filter(({ quantity }) => quantity === "pressure");
    const named = (change: Partial<Field>): Field => ({
      ...layout.fields.find(({ quantity }) => quantity === "pressure")!,
      at: right!.at,
      ...change,
    });
    const doubtsWith = (field: Field) => {
      const again = derive(bursts, log, { named: [field] });
      if (!again.group) throw new Error("nothing belongs together");
      const drawn = layoutOf(again, { id: "derived", title: "Derived", notes: "" });
      return prove(again, drawn, bursts, log).doubts;
    };
    const [first] = right!.constants;
    expect(doubtsWith(named({}))).toEqual([]);
    expect(doubtsWith(named({ scale: 3 * first!.scale })).join()).toMatch(/is not what was measured/);
    const { senders } = result.derivation;
    const inIdentity = named({ at: senders!.at, bits: 6, bitOrder: "msb-first" });
    expect(doubtsWith(inIdentity).join()).toMatch(/hardly follow what was measured/);
  });

  it("is not proved by figures of which none belongs to what was kept aside", async () => {
    const { bursts, log, result, layout } = await derived(DRAWS[0]!);
    const fitted = new Set(result.derivation.telegrams.flatMap(({ ids }) => ids));
    const own = bursts
      .filter(({ id }) => fitted.has(id))
      .map(({ id, atSeconds }) => {
        const kPa = log.find((one) => one.atSeconds >= atSeconds)?.kPa ?? log.at(-1)!.kPa;
        return { atSeconds, kPa, degC: undefined, of: [id] };
      });
    const again = derive(bursts, own);
    if (!again.group) throw new Error("nothing belongs together");
    const doubts = prove(again, layout, bursts, own).doubts;
    expect(doubts.join()).toMatch(/measured for 0 of the telegrams kept aside|not known/);
  });

  it("keeps the same telegrams aside when one burst is left out", async () => {
    const { bursts, log, result } = await derived(DRAWS[0]!);
    const again = derive(bursts.slice(1), log);
    if (!again.group) throw new Error("nothing belongs together");
    const ids = (one: typeof result) => new Set(one.derivation.aside.map((telegram) => telegram.ids[0]!));
    const [before, after] = [ids(result), ids(again)];
    expect([...before].filter((id) => !after.has(id)).length).toBeLessThanOrEqual(1);
  });

  it("whose figures are of another day names no field", async () => {
    const { bursts, log } = await derived(DRAWS[0]!);
    const result = derive(
      bursts,
      log.map((one) => ({ ...one, atSeconds: one.atSeconds + 86_400 })),
    );
    expect(result.group && result.derivation.fields.fields).toEqual([]);
  });
});

describe("gathering", () => {
  it("tells apart what is sent differently, and drops nothing", async () => {
    const [a, b] = [await derived(DRAWS[0]!), await derived(DRAWS[1]!)];
    const strange = { ...a.bursts[0]!, id: "strange", carrierHz: 868e6 };
    const { groups, outliers } = gather([...a.bursts, ...b.bursts, strange]);
    expect(groups.length).toBeGreaterThanOrEqual(2);
    const members = groups.flatMap(({ aligned }) => aligned.members);
    expect(members.length + outliers.length).toBe(a.bursts.length + b.bursts.length + 1);
    expect(outliers.find(({ caught }) => caught.id === "strange")?.because).toMatch(/^only one burst/);
  });

  it("of nothing gives nothing", () => {
    expect(gather([])).toEqual({ groups: [], outliers: [] });
    expect(derive([], [])).toEqual({ gathered: { groups: [], outliers: [] }, group: undefined });
  });
});

it("sums and exclusive-ors of words are found with their initial value", () => {
  const words = Array.from({ length: 12 }, (_, i) =>
    [17 * i + 3, 91 * i * i + 5, 201 - 7 * i].map((word) => word & 255),
  );
  const frame = (own: readonly number[]) =>
    Uint8Array.from(own.flatMap((word) => Array.from({ length: 8 }, (_, i) => (word >> (7 - i)) & 1)));
  const best = (check: (own: readonly number[]) => number) => {
    const rows = rowsOf(words.map((own) => frame([...own, check(own) & 255])));
    return findWordChecks(rows, new Uint8Array(32).fill(1), { count: 0 }).find(({ check }) => check.at === 24)?.check;
  };
  const sum = (own: readonly number[]) => own.reduce((total, word) => total + word, 0);
  expect(best((own) => sum(own) + 0x5a)).toMatchObject({ kind: "sum", width: 8, init: "0x5a", covers: [[0, 24]] });
  expect(best((own) => ~(sum(own) + 2))).toMatchObject({ kind: "sum", complement: true, init: "0x02" });
  expect(best((own) => own.reduce((total, word) => total ^ word, 0x83))).toMatchObject({ kind: "xor", init: "0x83" });
});

describe("a gauge's log", () => {
  it("is a table of times and figures, of which any may be missing", () => {
    const log = 'time,kPa,°C\n2026-11-29T09:00:00Z,231.5,19\n2026-11-29T09:00:10Z,,20\n\n2026-11-29T08:59:00Z,"230",\n';
    const at = Date.parse("2026-11-29T09:00:00Z") / 1000;
    expect(parseGaugeLog(log, 0)).toEqual({
      ok: true,
      readings: [
        { atSeconds: at - 60, kPa: 230, degC: undefined },
        { atSeconds: at, kPa: 231.5, degC: 19 },
        { atSeconds: at + 10, kPa: undefined, degC: 20 },
      ],
    });
    expect(parseGaugeLog("0;200;-5\n5;201;\n", 1000)).toMatchObject({
      readings: [{ atSeconds: 1000, degC: -5 }, { atSeconds: 1005 }],
    });
  });

  it("is read by the names of its columns, and with semicolons by commas too", () => {
    const said = (text: string) => {
      const parsed = parseGaugeLog(text, 0);
      if (!parsed.ok) throw new Error(JSON.stringify(parsed));
      return parsed.readings.map(({ kPa, degC }) => [kPa && Number(kPa.toFixed(2)), degC]);
    };
    expect(said("°C;time;bar\n14,5;0;2,5")).toEqual([[250, 14.5]]);
    expect(said("Temperature (degF),Pressure psi,time s\n50,30,1")).toEqual([[206.84, 10]]);
    expect(said("time,kPa\n0,231")).toEqual([[231, undefined]]);
    expect(parseGaugeLog("time,atm\n0,2", 0)).toMatchObject({ ok: false, line: 1, found: "time,atm" });
    // Columns that were exchanged say what no tyre can.
    expect(parseGaugeLog("0,20,396", 0)).toMatchObject({ ok: false, line: 1, found: "396" });
    expect(parseGaugeLog("0,231,20", undefined)).toMatchObject({ ok: false, line: 1, found: "0" });
  });

  it.each([
    ["", 1, "no reading"],
    ["noon,1,2", 1, "noon"],
    ["0,1,2\n1,much,2", 2, "much"],
    ["0,1,2\n1,2,warm", 2, "warm"],
    ["0,1,2,3", 1, "4 fields"],
    ["0,,", 1, "no reading"],
  ])("that is %j is refused at line %i", (text, line, found) => {
    expect(parseGaugeLog(text, 0)).toMatchObject({ ok: false, line, found });
  });
});
