import { join } from "node:path";
import { expect, it } from "vitest";
import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import type { ReceiverLine } from "../../decoders/sources.ts";
import { openLineFile } from "../../server/receivers/lineFile.ts";
import { decode } from "../support/decode.ts";

it("copies of a telegram are one telegram after the receiver's clock was put back, too", async () => {
  const opened = await openLineFile(join(import.meta.dirname, "../../samples/sound-car.ndjson"), () => undefined);
  if (!opened.ok) throw opened.error;
  const lines: ReceiverLine[] = [];
  for await (const line of opened.value.lines) lines.push(line);
  const later = lines.map((line) => ("atSeconds" in line ? { ...line, atSeconds: line.atSeconds + 3600 } : line));
  const once = await decode({ kind: "lines", file: "bay", lines }, builtinLayouts);
  const twice = await decode({ kind: "lines", file: "bay", lines: [...later, ...lines] }, builtinLayouts);
  expect(twice.telegrams.map(({ bits, repeats }) => [bits, repeats.length])).toEqual(
    [...once.telegrams, ...once.telegrams].map(({ bits, repeats }) => [bits, repeats.length]),
  );
});
