import { readFile } from "node:fs/promises";
import { z } from "zod";
import { complaintsOf } from "../../decoders/layouts/complaint.ts";
import { fileError, firstComplaint, InputError } from "../recordings/inputError.ts";
import { readJson } from "../recordings/json.ts";

const Shape = z.strictObject({
  url: z.url({ protocol: /^(mqtt|mqtts|ws|wss)$/ }),
  username: z.string().max(200).optional(),
  password: z.string().max(200).optional(),
  /** The first level of all topics. */
  prefix: z
    .string()
    .regex(/^[^/+#\s][^+#\s]{0,99}$/, "words without spaces, + and #, that do not begin with /")
    .default("wheelgram"),
});
export type MqttSettings = z.infer<typeof Shape>;

/** @throws InputError naming file and key. */
export async function readMqttSettings(path: string): Promise<MqttSettings> {
  const bytes = await readFile(path).catch((error: unknown) => {
    throw fileError(path, error, "a JSON file with url, and username and password where the broker asks for them");
  });
  const json = readJson(bytes);
  if (!json.ok) throw new InputError(path, `byte ${json.error.byte}`, json.error.found, json.error.allowed);
  const parsed = Shape.safeParse(json.value);
  if (!parsed.success) throw firstComplaint(path, complaintsOf(parsed.error, json.value));
  return parsed.data;
}
