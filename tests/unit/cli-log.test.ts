import { PassThrough } from "node:stream";
import { expect, it } from "vitest";
import { createLog, shortened } from "../../server/cli/log.ts";

it("a log keeps no whole identity of a sensor, and what is no identity as it is", () => {
  expect(shortened("GET /api/v1/telegrams?identity=3a51c0de failed")).toBe("GET /api/v1/telegrams?identity=3a… failed");
  expect(shortened("at serve (serve.ts:120:15), port 8315")).toBe("at serve (serve.ts:120:15), port 8315");
  expect(shortened("sensors 3A51C, 3A51C0 and FACADE")).toBe("sensors 3A…, 3A… and FA…");
  expect(shortened("sensor 12345678, 43920 lines")).toBe("sensor 12…, 43920 lines");
  expect(shortened("defaced feedback")).toBe("defaced feedback");
});

it("a log is one JSON object a line where nobody looks on, and plain on a terminal", () => {
  const pipe = new PassThrough();
  createLog(pipe)("an event could not be stored: 3a51c0de");
  const line = JSON.parse(String(pipe.read()));
  expect(line).toMatchObject({ level: 40, msg: "an event could not be stored: 3a…" });
  expect(Date.parse(line.time)).not.toBeNaN();
  const terminal = Object.assign(new PassThrough(), { isTTY: true });
  createLog(terminal)("plain");
  expect(String(terminal.read())).toBe("plain\n");
});
