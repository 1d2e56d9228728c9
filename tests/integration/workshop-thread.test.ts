import { expect, it } from "vitest";
import { emptyWorksheet } from "../../decoders/workshop/worksheet.ts";
import { startWorker } from "../../server/work/startWorker.ts";
import { createWorkshop } from "../../server/work/workshop.ts";

it("keeps what it worked out, and begins anew after its thread was killed", async () => {
  const threads: ReturnType<typeof startWorker>[] = [];
  const workshop = createWorkshop(() => {
    const thread = startWorker();
    threads.push(thread);
    return thread;
  });
  const sheet = emptyWorksheet("Nothing");
  const first = await workshop.workOut("a", 1, sheet);
  expect(first.stations[0]?.says).toEqual(["Nothing was brought in that no layout reads."]);
  expect(await workshop.workOut("a", 1, sheet)).toBe(first);
  await threads[0]?.terminate();
  expect(await workshop.workOut("a", 2, sheet)).toEqual(first);
  expect(threads).toHaveLength(2);
  await workshop.stop();
  await expect(workshop.workOut("a", 3, sheet)).rejects.toThrow("The server was stopped.");
});

it("gives up what takes too long", async () => {
  const workshop = createWorkshop(() => {
    const thread = startWorker();
    thread.postMessage = () => undefined; // it never gets to hear what it is asked
    return thread;
  }, 50);
  const asked = workshop.workOut("a", 1, emptyWorksheet("Nothing"));
  await expect(asked).rejects.toThrow("It was given up after three minutes");
  await workshop.stop();
});
