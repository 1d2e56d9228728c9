import { describe, expect, it } from "vitest";
import { createLiveCount, type LiveKind, type Told } from "../../web/model/liveEvents.ts";

const told = (number: number, kind: LiveKind = "job"): Told => ({ number, kind, data: `{"n":${number}}` });

describe("events that a page is told", () => {
  it("come once, though two tabs tell of them", () => {
    const count = createLiveCount();
    const heard = [7, 8, 7, 8, 9, 9].flatMap((number) => count.take(told(number)));
    expect(heard).toEqual([told(7), told(8), told(9)]);
    expect(count.last()).toBe(9);
  });

  it("begin with whichever comes first", () => {
    const count = createLiveCount();
    expect(count.last()).toBeUndefined();
    expect(count.take(told(4000))).toEqual([told(4000)]);
  });

  it("ask for everything anew where one is missing between them", () => {
    const count = createLiveCount();
    count.take(told(3));
    const [anew, event] = count.take(told(6));
    expect(anew?.kind).toBe("snapshot");
    expect(JSON.parse(anew?.data ?? "")).toEqual({ because: expect.stringContaining("missed") });
    expect(event).toEqual(told(6));
    expect(count.take(told(5))).toEqual([]);
  });

  it("go on from where the server says that everything is new, also below the numbers known", () => {
    const count = createLiveCount();
    count.take(told(900));
    expect(count.take(told(2, "snapshot"))).toEqual([told(2, "snapshot")]);
    expect(count.take(told(3))).toEqual([told(3)]);
  });
});
