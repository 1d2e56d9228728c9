import { createHash } from "node:crypto";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { createLive } from "../../decoders/live.ts";
import { parseLine, receiverLine } from "../../server/receivers/line.ts";
import { burstLines } from "./burstLines.ts";

const texts = burstLines(9000, 1);
const t0 = performance.now();
const lines = texts.map((t, i) => {
  const p = parseLine(Buffer.from(t));
  if (!p.ok) throw 1;
  return receiverLine(p.value, i * 0.7);
});
console.log("parse us", ((performance.now() - t0) * 1000) / texts.length);
const live = createLive("bay", builtinLayouts, 0);
const h = createHash("sha256");
for (let r = 0; r < 9; r++) {
  const a = performance.now();
  let n = 0;
  for (const l of lines.slice(r * 1000, r * 1000 + 1000)) {
    if (l.type !== "burst") continue;
    const told = live.push(l as never);
    n += told.length;
    if (r < 3) h.update(JSON.stringify(told));
  }
  console.log("decode us incl stringify", performance.now() - a, n);
}
console.log(h.digest("hex").slice(0, 16));
