import { randomBytes } from "node:crypto";
import { z } from "zod";
import type { House } from "../house.ts";
import { bodyOf, visitOf } from "../jobBody.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { shareBundle } from "../share.ts";
import { ShareListBody } from "../wire/share.ts";

const SECRET = "share secret";
const SECRET_BYTES = 32;
const keep = z.literal("keep").optional();
const Query = z.strictObject({ identities: keep, plate: keep, position: keep });

const NOTES = `For somebody else: sensors under other names, without plate and notes, without where it was; ?identities=keep,
?plate=keep and ?position=keep leave each of them in. A sensor has the same other name in every bundle of this server.`;

export function shareRoutes({ store, ...house }: House): readonly Route[] {
  /** Made once, so that names stay the same. */
  async function secretOf(): Promise<string> {
    const known = await store.setting(SECRET);
    if (known !== undefined) return known;
    const made = randomBytes(SECRET_BYTES).toString("base64url");
    await store.setSetting(SECRET, made);
    return made;
  }

  async function bundleOf(id: string | undefined, { identities, plate, position }: z.infer<typeof Query>) {
    const stored = await store.job(id ?? "");
    if (!stored) throw new Problem("not-found", `There is no job ${id}.`);
    const visit = await visitOf({ store, ...house }, stored);
    const runs = await store.runsOf(stored.id);
    const whole = { job: bodyOf(visit), runs, changes: [], telegrams: visit.telegrams };
    const switches = {
      pseudonyms: identities === undefined,
      withoutPlate: plate === undefined,
      withoutPlace: position === undefined,
    };
    return shareBundle(whole, switches, await secretOf());
  }

  return [
    route({
      method: "get",
      path: "/jobs/{id}/share",
      summary: "A job as a file for somebody else, without what is nobody else's business",
      notes: NOTES,
      query: Query,
      answers: { 200: { says: "The file.", body: "file", headers: { "Content-Disposition": "its name" } } },
      problems: ["not-found"],
      async handle({ params, query }) {
        const { text } = await bundleOf(params["id"], query);
        const headers = {
          "Content-Type": "application/json; charset=utf-8",
          // Not by the job's own name, which stands on its sheet beside the plate.
          "Content-Disposition": `attachment; filename="share.json"`,
        };
        return { status: 200, body: text, headers };
      },
    }),
    route({
      method: "get",
      path: "/jobs/{id}/share/contents",
      summary: "What is in that file and what is not, before it is sent",
      notes: NOTES,
      query: Query,
      answers: { 200: { says: "Its parts, in words.", body: ShareListBody } },
      problems: ["not-found"],
      handle: async ({ params, query }) => ({ status: 200, body: [...(await bundleOf(params["id"], query)).parts] }),
    }),
  ];
}
