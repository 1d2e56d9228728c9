import { describe, expect, it } from "vitest";
import type { CurveBody } from "../../server/http/wire.ts";
import { curvesOf } from "../../web/model/curves.ts";

const at = (minute: number) => new Date(Date.UTC(2026, 10, 25, 9, minute)).toISOString();
const curve = (position: string, points: readonly (readonly [minute: number, kpa: number | null])[]): CurveBody => ({
  position,
  identity: "3a51c0de",
  placardKpa: 240,
  lampKpa: 180,
  count: points.length,
  points: points.map(([minute, gaugeKpa]) => ({ at: at(minute), gaugeKpa, temperatureC: 20 + minute })),
});
const KPA = { quantity: "pressure", pressure: "kPa", temperature: "degC", from: undefined } as const;

describe("curves of a job", () => {
  it("leave a pause of more than ten minutes open", () => {
    const drawn = curvesOf(
      [
        curve("left front", [
          [0, 230],
          [1, 231],
          [30, 229],
          [31, 228],
        ]),
      ],
      KPA,
    );
    expect(drawn?.curves[0]?.stretches.map((stretch) => stretch.length)).toEqual([2, 2]);
  });

  it("lie over each other on one scale, with placard and lamp as lines", () => {
    const drawn = curvesOf([curve("left front", [[0, 240]]), curve("right front", [[0, 180]])], KPA);
    const levels = drawn?.levels.map(({ at: place, kind }) => [kind, place] as const) ?? [];
    expect(levels.map(([kind]) => kind)).toEqual(["placard", "lamp"]);
    // The first curve is at the placard of 240 kPa, the second at the lamp's 180.
    expect(drawn?.curves[0]?.end.y).toBeCloseTo(levels[0]?.[1] ?? 0, 12);
    expect(drawn?.curves[1]?.end.y).toBeCloseTo(levels[1]?.[1] ?? 0, 12);
    expect(drawn?.curves.map(({ ink }) => ink)).toEqual([0, 1]);
  });

  it("show temperature in the unit of the device, without the lines of pressure", () => {
    const drawn = curvesOf(
      [
        curve("left front", [
          [0, null],
          [5, 200],
        ]),
      ],
      { ...KPA, quantity: "temperature", temperature: "degF" },
    );
    expect(drawn).toMatchObject({ unit: "°F", levels: [] });
    expect(drawn?.curves[0]?.stretches[0]).toHaveLength(2);
  });

  it("begin where they are asked to, and are none where nothing was told", () => {
    const drawn = curvesOf(
      [
        curve("left front", [
          [0, 230],
          [5, 231],
        ]),
      ],
      { ...KPA, from: at(3) },
    );
    expect(drawn?.curves[0]?.stretches.flat()).toHaveLength(1);
    expect(curvesOf([curve("left front", [[0, null]])], KPA)).toBeUndefined();
    expect(curvesOf([], KPA)).toBeUndefined();
  });

  it("are at most five", () => {
    const six = ["a", "b", "c", "d", "e", "f"].map((position) => curve(position, [[0, 230]]));
    expect(curvesOf(six, KPA)?.curves.map(({ position }) => position)).toEqual(["a", "b", "c", "d", "e"]);
  });
});
