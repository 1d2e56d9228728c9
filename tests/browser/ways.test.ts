import type { Page } from "@playwright/test";
import type { StoredTelegramBody } from "../../server/http/wire.ts";
import { noSerialPairs, serialPair } from "../support/serial-pair.ts";
import { type House, openHouse, soon } from "./house.ts";
import { addJob, addTcpReceiver, ask, type Job, postJson, SOUND_CAR } from "./http.ts";
import { connectReceiver, sampleParts } from "./receiver.ts";
import { expect, SERVER_OFF, test } from "./test.ts";

test("a recording, a serial line and a TCP port bring the same telegrams, on the page within a second, and for good", async ({
  page,
  expected,
}) => {
  test.skip(noSerialPairs !== undefined, noSerialPairs);
  test.slow(); // a house of its own, opened twice
  const house = await openHouse();
  const pair = serialPair();
  try {
    const wire = await pair.plug();
    const serial = await postJson<{ id: string }>(house, "/receivers", {
      name: "kerb side",
      kind: "serial",
      path: pair.path,
      baudRate: 115_200,
    });
    const tcp = await addTcpReceiver(house, "by the door");
    const socket = await connectReceiver(tcp.port);
    const bySerial = await shown(house, page, serial.id, (lines) => wire.send(Buffer.from(`${lines.join("\n")}\n`)));
    const byTcp = await shown(house, page, tcp.id, (lines) => socket.send(lines));
    expected.push(SERVER_OFF);
    await house.kill();
    socket.close();
    await house.start();

    const recording = (await ask<{ hash: string; name: string }[]>(house, "/recordings")).find(
      ({ name }) => name === "sound-car",
    );
    const ofRecording = frames(await ask(house, `/recordings/${recording?.hash}/telegrams`));
    expect(ofRecording).toHaveLength(4);
    for (const [id, job] of [
      [serial.id, bySerial],
      [tcp.id, byTcp],
    ] as const) {
      expect(frames(await ask(house, `/telegrams?receiver=${id}`))).toEqual(ofRecording);
      await page.goto(`${house.address()}/jobs/${job.id}`);
      await expect(page.getByRole("heading", { name: /4 of 4 heard/i })).toBeVisible();
    }
  } finally {
    await pair.close();
    await house.close();
  }
});

/** Opens a card that listens to one receiver, lets that speak, and sees each wheel come to the page. */
async function shown(
  house: House,
  page: Page,
  receiverId: string,
  send: (lines: readonly string[]) => Promise<void>,
): Promise<Job> {
  const job = await addJob(house, { wheels: SOUND_CAR, receiverIds: [receiverId] });
  await page.goto(`${house.address()}/jobs/${job.id}`);
  await expect(page.getByRole("heading", { name: /0 of 4 heard/i })).toBeVisible();
  const [before, bursts] = sampleParts("sound-car");
  await send([...before, ...bursts.slice(0, 1)]);
  const wheel = page.getByRole("listitem").filter({ hasText: /^left front/i });
  await expect(wheel).toContainText("231", { timeout: 1000 });
  await send(bursts.slice(1));
  await soon("all copies are told", async () => {
    const told = await ask<StoredTelegramBody[]>(house, `/telegrams?receiver=${receiverId}`);
    return told.length === 4 && told.every(({ telegram }) => telegram.repeats.length === 4) ? told : undefined;
  });
  await expect(page.getByRole("heading", { name: /4 of 4 heard/i })).toBeVisible();
  return job;
}

/** Sensor and bits of each, in order of the sensors. */
function frames(telegrams: readonly StoredTelegramBody[]): string[] {
  return telegrams.map(({ identity, telegram: { bits, bitCount } }) => `${identity} ${bits} ${bitCount}`).toSorted();
}
