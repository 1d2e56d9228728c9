import type { Pool } from "../work/pool.ts";
import type { StudyRunner } from "./runner.ts";

/**
 * Threads of this machine. One more recording is on its way than there are threads, so that none waits while the records
 * of another are written.
 */
export function localRunner(pool: Pool): StudyRunner {
  return {
    size: pool.size + 1,
    analyse: (task) => pool.analyse(task),
    analyseAndHash: (task) => pool.analyseAndHash(task),
    rest: () => pool.rest(),
    stop: () => pool.stop(),
  };
}
