import { DatabaseError } from "pg";
import { describe, expect, it } from "vitest";
import { explained } from "../../server/store/postgres/explained.ts";
import type { Sql } from "../../server/store/postgres/sql.ts";
import { createWriter } from "../../server/store/postgres/writer.ts";
import { StoreError } from "../../server/store/storeError.ts";

const nowhere: Sql = { all: async () => [], one: async () => undefined, run: async () => 0 };

describe("a writer", () => {
  /** What was committed, transaction by transaction. */
  function recorded(failing: (done: readonly string[]) => unknown = () => undefined) {
    const committed: string[][] = [];
    let now: string[] = [];
    const writer = createWriter({
      async transaction(work) {
        now = [];
        await work(nowhere);
        const error = failing(now);
        if (error !== undefined) throw error;
        committed.push(now);
      },
      preparePartitions: async () => undefined,
    });
    const write = (name: string, needs = {}) =>
      writer.write(async () => {
        now.push(name);
        if (name === "bad") throw new RangeError("bad");
        return name;
      }, needs);
    return { committed, write, writer };
  }

  it("puts what comes at one moment into one transaction, in the order of the calls", async () => {
    const { committed, write, writer } = recorded();
    const all = Promise.all(["a", "b", "c"].map((name) => write(name)));
    await writer.settled();
    expect(committed).toEqual([["a", "b", "c"]]);
    expect(await all).toEqual(["a", "b", "c"]);
  });

  it("puts what takes a lock of all at the end of its transaction", async () => {
    const { committed, write } = recorded();
    await Promise.all([write("a"), write("event", { isLast: true }), write("b")]);
    expect(committed).toEqual([["a", "b", "event"]]);
  });

  it("lets each fail alone, and keeps the order of the others", async () => {
    const { committed, write } = recorded();
    const names = ["a", "b", "bad", "c", "d", "e", "bad", "f"];
    const told = await Promise.allSettled(names.map((name) => write(name)));
    expect(told.map(({ status }) => status === "rejected")).toEqual(names.map((name) => name === "bad"));
    expect(committed.flat()).toEqual(["a", "b", "c", "d", "e", "f"]);
  });

  it("tries nothing again whose commit nobody knows of", async () => {
    const lost = Object.assign(new Error("read ECONNRESET"), { code: "ECONNRESET" });
    let tries = 0;
    const { write } = recorded(() => {
      tries++;
      return lost;
    });
    const told = await Promise.allSettled([write("a"), write("b")]);
    expect(told.map((one) => one.status === "rejected" && one.reason)).toEqual([lost, lost]);
    expect(tries).toBe(1);
  });

  it("tries again where two waited for each other, but not for ever", async () => {
    const sentBack = Object.assign(new Error("deadlock detected"), { code: "40P01" });
    let tries = 0;
    const once = recorded(() => (tries++ === 0 ? sentBack : undefined));
    expect(await once.write("a")).toBe("a");
    expect(once.committed).toEqual([["a"]]);
    const ever = recorded(() => sentBack);
    await expect(ever.write("a")).rejects.toBe(sentBack);
  });
});

describe("what PostgreSQL says is told in words", () => {
  // The codes: PostgreSQL 15 documentation, appendix A.
  it.each([
    ["53100", "could not extend file", "full", /no room left on its disk\. Make room/],
    ["53300", "sorry, too many clients already", "busy", /no connection left\. Let fewer/],
    ["XX001", "invalid page in block 7", "damaged", /damaged.*Put back a backup/],
    ["57P01", "terminating connection due to administrator command", "unreachable", /stops, or starts\. Try again/],
    [
      "25006",
      "cannot execute INSERT in a read-only transaction",
      "unreachable",
      /only lets one read\. Name the primary/,
    ],
    ["58030", "could not read block", "unreachable", /cannot read or write its files/],
    ["28P01", "password authentication failed", "unreachable", /does not let this user in/],
  ])("%s", (code, message, is, said) => {
    const error = Object.assign(new DatabaseError(message, 0, "error"), { code });
    const told = explained("postgres://h/d", error);
    expect(told).toBeInstanceOf(StoreError);
    expect(told).toMatchObject({ code: is, file: "postgres://h/d", cause: error });
    expect(String(told)).toMatch(said);
  });

  it("and a broken rule is the caller's bug, with what it was about", () => {
    const error = Object.assign(new DatabaseError("duplicate key value", 0, "error"), {
      code: "23505",
      detail: "Key (id)=(7K3F) already exists.",
    });
    const told = explained("postgres://h/d", error);
    expect(told).toBeInstanceOf(RangeError);
    expect(String(told)).toContain("duplicate key value (Key (id)=(7K3F) already exists.)");
  });

  it("and what is none of it stays what it is", () => {
    const error = new TypeError("undefined is not a function");
    expect(explained("postgres://h/d", error)).toBe(error);
  });
});
