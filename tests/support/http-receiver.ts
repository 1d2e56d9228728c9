import { readFileSync } from "node:fs";
import { join } from "node:path";
import { samplesDir } from "./http-bench.ts";

/**
 * What the receiver of a sample said, as if it had begun at another time.
 *
 * @param boot That of another start, where one receiver is to say it more than once.
 */
export function linesFrom(name: string, begin: Date, boot?: string): string {
  const sample = readFileSync(join(samplesDir, `${name}.ndjson`), "utf8");
  const lines = boot === undefined ? sample : sample.replace(/"boot":"[^"]*"/, `"boot":"${boot}"`);
  const first = /"at":"([^"]+)"/.exec(lines)?.[1];
  if (first === undefined) throw new Error(`${name} tells no time`);
  const shiftMs = begin.getTime() - Date.parse(first);
  return lines.replace(/"at":"([^"]{23})(\d{3})Z"/g, (_, milliseconds: string, below: string) => {
    const moved = new Date(Date.parse(`${milliseconds}Z`) + shiftMs).toISOString().slice(0, 23);
    return `"at":"${moved}${below}Z"`;
  });
}
