import { citation, toolCitation } from "../study/citation.ts";
import { readStudy } from "../study/study.ts";
import type { Desk, Status } from "./desk.ts";
import { VERSION } from "./version.ts";

/** `wheelgram cite [STUDY]`: how to cite the program, or with a study its program, layouts and data. */
export async function cite(desk: Desk, folder: string | undefined): Promise<Status> {
  if (folder === undefined) {
    await desk.write(toolCitation(VERSION));
    return 0;
  }
  const study = await readStudy(folder);
  if (!study.ok) {
    desk.complain(study.error.message);
    return 2;
  }
  await desk.write(citation(study.value.settings, study.value.inputs()));
  return 0;
}
