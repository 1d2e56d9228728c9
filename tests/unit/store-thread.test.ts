import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { StoreError } from "../../server/store/storeError.ts";
import { openStoreThread } from "../../server/store/storeThread.ts";
import { temporaryFolder } from "../support/folder.ts";
import { job, line, receiver } from "../support/store-data.ts";
import { storeSuite } from "../support/store-suite.ts";

let folder = "";
let file = "";
beforeEach(() => {
  folder = temporaryFolder("store-thread");
  file = join(folder, "wheelgram.db");
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
});

storeSuite("a SQLite file in a thread", () => openStoreThread(file));

describe("a store in a thread", () => {
  it("says why it cannot be opened, as one without a thread does", async () => {
    writeFileSync(file, "no database at all, but long enough to be looked at");
    await expect(openStoreThread(file)).rejects.toMatchObject({ name: "StoreError", code: "damaged", file });
    await expect(openStoreThread(join(folder, "none", "x.db"))).rejects.toThrow(/its folder is not there.*--data/);
  });

  it("is free for another once it is closed, and says that it is", async () => {
    const store = await openStoreThread(file);
    await store.addJob(job("7K3F"));
    await store.close();
    await store.close();
    await expect(store.jobs()).rejects.toBeInstanceOf(StoreError);
    const again = await openStoreThread(file);
    expect(await again.jobs()).toEqual([job("7K3F")]);
    await again.close();
  });

  it("shares a transaction among what is written at the same time, and each fails alone", async () => {
    const store = await openStoreThread(file);
    await store.addReceiver(receiver("r1"));
    const writes = Array.from({ length: 50 }, (_, i) => store.keepLines("r1", [line(i)]));
    const taken = store.addReceiver(receiver("r1"));
    const read = store.lineCount("r1");
    await expect(taken).rejects.toThrow(RangeError);
    expect(await Promise.all(writes)).toEqual(writes.map(() => [true]));
    expect(await read).toBe(50);
    await store.close();
  });
});
