import { existsSync } from "node:fs";
import { join } from "node:path";
import { writerTo } from "../../server/cli/streams.ts";
import { study } from "../../server/cli/study.ts";

// Run by a test as a process of its own, and killed: the command `study` without the rest of the program, which would
// take longer to start than a small study takes. Goes on with a study in the second folder, if there is one.
const [inputs = "", output = ""] = process.argv.slice(2);
const { stdin, stdout, stderr } = process;
const streams = { stdin, stdout, stderr, interrupted: new Promise<void>(() => undefined) };
const desk = { write: writerTo(stdout), complain: (line: string) => void stderr.write(`${line}\n`), streams };
const isThere = existsSync(join(output, "settings.json"));
process.exitCode = await study(desk, isThere ? [] : [inputs], { output, ...(isThere ? { resume: true } : {}) });
