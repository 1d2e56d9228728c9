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

it("does not let one worksheet's end take another one with it", async () => {
  const threads: ReturnType<typeof startWorker>[] = [];
  const workshop = createWorkshop(() => {
    const thread = startWorker();
    // The first never hears what it is asked, and is given up.
    if (threads.push(thread) === 1) thread.postMessage = () => undefined;
    return thread;
  }, 15_000);
  const [slow, quick] = [
    workshop.workOut("slow", 1, emptyWorksheet("Nothing")),
    workshop.workOut("quick", 1, emptyWorksheet("Nothing")),
  ];
  await expect(slow).rejects.toThrow("It was given up after three minutes");
  expect((await quick).frames).toBe(null);
  await workshop.stop();
});

it("works out only the newest of what waits", async () => {
  const asked: unknown[] = [];
  const workshop = createWorkshop(() => {
    const thread = startWorker();
    const post = thread.postMessage.bind(thread);
    thread.postMessage = (message) => {
      asked.push(message);
      post(message);
    };
    return thread;
  });
  const all = [1, 2, 3, 4].map((revision) => workshop.workOut("a", revision, emptyWorksheet("Nothing")));
  await Promise.all(all);
  expect(asked).toHaveLength(2); // the first, and the newest of those that waited
  await workshop.stop();
});
