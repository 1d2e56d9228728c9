import { readFileSync } from "node:fs";
import { join } from "node:path";
import { buffer } from "node:stream/consumers";
import { fileURLToPath } from "node:url";
import { pack } from "tar-stream";

export const samplesDir = fileURLToPath(new URL("../../samples", import.meta.url));

/** A sample as the bytes of its two files. */
export function sample(name: string): { readonly meta: Buffer; readonly data: Buffer } {
  return {
    meta: readFileSync(join(samplesDir, `${name}.sigmf-meta`)),
    data: readFileSync(join(samplesDir, `${name}.sigmf-data`)),
  };
}

/** A SigMF archive of one recording, as other programs make them: a folder of its name with both files in it. */
export async function archiveOf(name: string, { meta, data }: { meta: Buffer; data: Buffer }): Promise<Buffer> {
  const archive = pack();
  archive.entry({ name: `${name}/${name}.sigmf-meta` }, meta);
  archive.entry({ name: `${name}/${name}.sigmf-data` }, data);
  archive.finalize();
  return buffer(archive);
}

/**
 * What the receiver of a sample said, as if it had begun at another time.
 *
 * @param boot That of another start, where one receiver is to say it more than once.
 */
export function linesFrom(name: string, begin: Date, boot?: string): string {
  const text = readFileSync(join(samplesDir, `${name}.ndjson`), "utf8");
  const lines = boot === undefined ? text : text.replace(/"boot":"[^"]*"/, `"boot":"${boot}"`);
  const first = /"at":"([^"]+)"/.exec(lines)?.[1];
  if (first === undefined) throw new Error(`${name} tells no time`);
  const shiftMs = begin.getTime() - Date.parse(first);
  return lines.replace(/"at":"([^"]{23})(\d{3})Z"/g, (_, milliseconds: string, below: string) => {
    const moved = new Date(Date.parse(`${milliseconds}Z`) + shiftMs).toISOString().slice(0, 23);
    return `"at":"${moved}${below}Z"`;
  });
}
