/** What a stand-in server answers, by method and path after `/api/v1`: a body, a problem, or a function giving either. */
export type Answers = Record<string, unknown>;

export interface Asked {
  readonly method: string;
  readonly path: string;
  readonly ifMatch: string | null;
  readonly body: unknown;
}

/** A stand-in for `fetch`. `answers` may be changed while it runs; what has no answer is a 404 with a problem. */
export function answering(given: Answers): {
  readonly fetch: (address: string, options?: RequestInit) => Promise<Response>;
  readonly answers: Answers;
  readonly asked: readonly Asked[];
} {
  const answers: Answers = { ...given };
  const asked: Asked[] = [];
  return {
    answers,
    asked,
    fetch: async (address, { method = "GET", headers, body } = {}) => {
      const path = address.replace(/^\/api\/v1/, "").replace(/\?.*/, "");
      const ifMatch = new Headers(headers).get("if-match");
      asked.push({ method, path, ifMatch, body: typeof body === "string" ? JSON.parse(body) : undefined });
      const key = `${method} ${path}`;
      if (!Object.hasOwn(answers, key))
        return problem(404, { title: "Not there", detail: key, nextSteps: ["Go back."] });
      const told = answers[key];
      const answer: unknown = typeof told === "function" ? told() : told;
      if (typeof answer === "object" && answer !== null && "problem" in answer && "status" in answer) {
        return problem(Number(answer.status), answer.problem);
      }
      return new Response(answer === undefined ? "" : JSON.stringify(answer), { status: 200 });
    },
  };
}

function problem(status: number, body: unknown): Response {
  return new Response(JSON.stringify({ type: "/help", status, ...Object(body) }), { status });
}
