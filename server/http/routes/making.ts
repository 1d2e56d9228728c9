import { makingBody, makingOf } from "../class/making.ts";
import type { House } from "../house.ts";
import { Problem } from "../problem.ts";
import { type Route, route } from "../route.ts";
import { MakingBody, MakingNewBody } from "../wire/making.ts";

/** One telegram made as somebody writes it, broken as somebody likes, and decoded as any other. */
export function makingRoutes({ air }: Pick<House, "air">): readonly Route[] {
  return [
    route({
      method: "post",
      path: "/makings",
      summary: "Make one telegram, break it, and see how far up the ladder it comes",
      notes: "A recording is made and decoded on this computer, and kept nowhere. Nothing is sent.",
      body: MakingNewBody,
      notKept: true,
      answers: { 200: { says: "Bits, symbols and signal, and what the decoder made of them.", body: MakingBody } },
      async handle({ body }) {
        const making = makingOf(body);
        if ("order" in making) {
          return { status: 200, body: makingBody(making, await air.play(making.order)) };
        }
        const [first] = making;
        throw new Problem("not-fitting", `The telegram cannot be made: see ${first?.path}.`, { complaints: making });
      },
    }),
  ];
}
