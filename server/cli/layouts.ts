import { builtinLayouts } from "../../decoders/layouts/builtin.ts";
import { complaintLine } from "../../decoders/layouts/complaint.ts";
import { printable } from "../recordings/inputError.ts";
import { layoutList } from "../report/layoutList.ts";
import type { Desk, Status } from "./desk.ts";
import { readLayoutFiles } from "./readLayouts.ts";

/** `wheelgram layouts`: the layouts that come with Wheelgram. */
export async function listLayouts({ write }: Desk): Promise<Status> {
  await write(layoutList(builtinLayouts));
  return 0;
}

/** `wheelgram layouts check FILE...`: a line for each file that is a layout, and one for each complaint about the others. */
export async function checkLayoutFiles({ write, complain }: Desk, paths: readonly string[]): Promise<Status> {
  let status: Status = 0;
  for (const path of paths) {
    const files = await readLayoutFiles([path]);
    if (!files.ok) {
      complain(files.error.message);
      status = 2;
      continue;
    }
    for (const { file, parsed } of files.value) {
      if (parsed.ok) await write(`${printable(file)}: fits, layout ${parsed.value.id}\n`);
      else {
        for (const complaint of parsed.error) complain(`${printable(file)}: ${complaintLine(complaint)}`);
        if (status === 0) status = 1;
      }
    }
  }
  return status;
}
