import { describe, expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { collided } from "../support/colliding.ts";

const layoutOf = (id: string) => builtinLayouts.find((layout) => layout.id === id)!;

describe("two telegrams at once", () => {
  it.each([
    ["pilot-car", "pilot-car", 3, 50_000, 3],
    ["ferry-shuttle", "ferry-shuttle", 6, 20_000, 3],
    ["pilot-car", "net-loft-van", 3, 5_000, 3],
  ])(
    "%s and %s, %i dB weaker, %i Hz beside it, %i ms later: both are read, mostly",
    async (a, b, weaker, apart, ms) => {
      const pair = { first: layoutOf(a), second: layoutOf(b), ebN0Db: 20, weakerByDb: weaker, apartHz: apart };
      let both = 0;
      for (let seed = 1; seed <= 6; seed++) {
        const { firstRead, secondRead, wrong } = await collided({ ...pair, laterSeconds: ms / 1000, seed });
        expect(wrong).toBe(0);
        if (firstRead && secondRead) both++;
      }
      expect(both).toBeGreaterThanOrEqual(4);
    },
  );

  it("as strong, on one frequency and nearly together, are not read wrong", async () => {
    const layout = layoutOf("pilot-car");
    for (let seed = 1; seed <= 6; seed++) {
      const same = { first: layout, second: layout, ebN0Db: 20, weakerByDb: 0, apartHz: 0, laterSeconds: 0.0005, seed };
      const { firstRead, secondRead, wrong } = await collided(same);
      expect(wrong).toBe(0);
      expect(firstRead && secondRead).toBe(false);
    }
  });
});
