import { startPostgres } from "/tmp/X/h-pgstore/tests/support/postgres.ts";
import { openPostgresStore } from "/tmp/X/h-pgstore/server/store/postgres/postgres.ts";
import { receiver, telegram, heardBurst } from "/tmp/X/h-pgstore/tests/support/store-data.ts";
const server = await startPostgres({ durable: true });
const store = await openPostgresStore(await server.database());
for (let i = 0; i < 50; i++) await store.addReceiver(receiver(`r${i}`));
const text = (n: number) => JSON.stringify({ type: "burst", receiver: "r1", sequence: n, symbols: "ab".repeat(150), other: 12.5 });
let seq = 0;
for (const batch of [1, 10, 100]) {
  const total = 20000; const t = performance.now();
  const perCaller = total / 50 / batch;
  await Promise.all(Array.from({ length: 50 }, async (_, r) => {
    for (let i = 0; i < perCaller; i++) {
      const lines = Array.from({ length: batch }, () => ({ boot: "b1", sequence: ++seq, receivedAt: "2026-11-25T09:00:00Z", text: text(seq) }));
      await store.keepLines(`r${r}`, lines);
    }
  }));
  const s = (performance.now() - t) / 1000;
  console.log(`50 callers, ${batch} a call: ${Math.round(total / s)} lines/s`);
}
const c = await store.claims();
{ const total = 50000; const t = performance.now();
  for (let i = 0; i < total; i += 500) await c.keepLines("r1", Array.from({ length: 500 }, () => ({ boot: "b1", sequence: ++seq, receivedAt: "2026-11-25T09:00:00Z", text: text(seq) })));
  console.log(`claims, 500 a call: ${Math.round(total / ((performance.now() - t) / 1000))} lines/s`); }
{ const total = 20000; const t = performance.now(); let n = 0;
  await Promise.all(Array.from({ length: 20 }, async (_, r) => { for (let i = 0; i < total / 20 / 10; i++) {
    const ids = Array.from({ length: 10 }, () => ++n);
    await store.keepHeard(ids.map((k) => ({ ...heardBurst(`u${k}`, k % 60), on: { receiverId: `r${r}` } })), ids.map((k) => telegram(`t${k}`, { on: { receiverId: `r${r}` } })));
    await store.appendEvents(ids.map((k) => ({ type: "telegram", text: `{"n":${k}}` }))); } }));
  console.log(`keepHeard 10+10 a call and events: ${Math.round(total / ((performance.now() - t) / 1000))} telegrams/s`); }
await store.close(); await server.close();
