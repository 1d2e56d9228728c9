import type { Request, Response } from "express";
import type { z } from "zod";
import type { ProblemName } from "./problems.ts";

/** One request, checked against its route. */
export interface Asked<Query = undefined, Body = undefined> {
  /** What stands in the path at a `{NAME}`. */
  readonly params: Readonly<Record<string, string>>;
  readonly query: Query;
  readonly body: Body;
  /** The revision that a write is based on; 0 where the route asks for none. */
  readonly revision: number;
  readonly request: Request;
}

export interface Answer {
  readonly status: number;
  /** JSON, or the text of a page where the route says so; `undefined` for no body. */
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface AnswerShape {
  readonly says: string;
  /** `undefined`: no body. */
  readonly body?: z.ZodType | "page" | "file" | "events" | "openapi";
  readonly headers?: Readonly<Record<string, string>>;
  /** The media types that a file may have, where they are others than JSON and CSV. */
  readonly types?: readonly string[];
}

export type Method = "get" | "post" | "put" | "patch" | "delete";

/** A path of the interface: what it takes and gives back, and who answers. The one source of routing and description. */
export interface Route {
  readonly method: Method;
  /** Below `/api/v1`, such as `/jobs/{id}`. */
  readonly path: string;
  readonly summary: string;
  readonly notes?: string;
  readonly query?: z.ZodObject;
  /** `octets`: the bytes of a file, left in the request for the route to read. */
  readonly body?: z.ZodType | "octets";
  /** Of a body of JSON, where it may have more than others. */
  readonly mostBytes?: number;
  /** A write that has to name the revision it is based on. */
  readonly ifMatch?: true;
  /** Its answer holds a secret that is told once, so it is kept nowhere, also not under the name of a write. */
  readonly tellsSecret?: true;
  /** Done twice it is as done once, by its revision or of itself, and its answer is large: it takes no name of a write. */
  readonly notKept?: true;
  readonly answers: Readonly<Record<number, AnswerShape>>;
  /** Beside those that every path may give. */
  readonly problems?: readonly ProblemName[];
  /** `undefined`: it has answered by itself, into the response. */
  readonly handle: (asked: Asked<unknown, unknown>, response: Response) => Promise<Answer | undefined>;
}

type RouteOf<Query extends z.ZodObject | undefined, Body extends z.ZodType | "octets" | undefined> = Omit<
  Route,
  "query" | "body" | "handle"
> & {
  readonly query?: Query;
  readonly body?: Body;
  readonly handle: (
    asked: Asked<
      Query extends z.ZodObject ? z.infer<Query> : undefined,
      Body extends z.ZodType ? z.infer<Body> : undefined
    >,
    response: Response,
  ) => Promise<Answer | undefined>;
};

/** A route whose `handle` gets query and body as their schemas have them. */
export function route<
  Query extends z.ZodObject | undefined = undefined,
  Body extends z.ZodType | "octets" | undefined = undefined,
>(given: RouteOf<Query, Body>): Route {
  // Whoever mounts it has parsed both by these very schemas.
  return given as unknown as Route;
}
