import { readFile } from "node:fs/promises";
import { writeScenario } from "../../seeds/write.ts";
import { fileError, firstComplaint, InputError, printable } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";
import type { Desk, Status } from "./desk.ts";

/** `wheelgram synthesise SCENARIO -o OUT`: a scenario as a recording, receiver lines, or both; their names are told. */
export async function synthesise(desk: Desk, scenario: string, given: { readonly output: string }): Promise<Status> {
  const fault = await jsonFault(scenario);
  if (fault) {
    desk.complain(fault.message);
    return 2;
  }
  try {
    const written = await writeScenario(scenario, given.output);
    if (!written.ok) {
      desk.complain(firstComplaint(scenario, written.complaints).message);
      return 2;
    }
    for (const file of written.files) await desk.write(`${printable(file)}\n`);
    return 0;
  } catch (error) {
    desk.complain(fileError(given.output, error, "a name that can be written to").message);
    return 1;
  }
}

async function jsonFault(path: string): Promise<InputError | undefined> {
  try {
    const json = readJson(await readFile(path));
    return json.ok ? undefined : new InputError(path, `byte ${json.error.byte}`, json.error.found, json.error.allowed);
  } catch (error) {
    return fileError(path, error, "a scenario file");
  }
}
