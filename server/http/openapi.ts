import { z } from "zod";
import { LayoutShape } from "../../decoders/layouts/schema.ts";
import { PREFIX, takesName } from "./mount.ts";
import { PROBLEMS, type ProblemName } from "./problems.ts";
import type { AnswerShape, Route } from "./route.ts";
import * as deviceWire from "./wire/devices.ts";
import * as fleetWire from "./wire/fleet.ts";
import * as keepingWire from "./wire/keeping.ts";
import * as lessonWire from "./wire/lessons.ts";
import * as shareWire from "./wire/share.ts";
import * as studyWire from "./wire/studies.ts";
import * as wire from "./wire.ts";

/** A JSON Schema, or any other part of the description. */
type Part = { readonly [key: string]: unknown };

export interface OpenApi extends Part {
  readonly openapi: "3.1.0";
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, Part>> };
}

export interface Operation extends Part {
  readonly operationId: string;
  readonly summary: string;
  readonly description?: string;
  readonly parameters: readonly Part[];
  readonly requestBody?: Part;
  readonly responses: Readonly<Record<string, Part>>;
}

/**
 * The whole interface, described from the routes and schemas that serve it.
 *
 * @source OpenAPI Specification 3.1.0.
 */
export function openApi(routes: readonly Route[], version: string): OpenApi {
  const paths: Record<string, Record<string, Operation>> = {};
  for (const route of routes) {
    const path = PREFIX + route.path;
    paths[path] = { ...paths[path], [route.method]: operation(route) };
  }
  return {
    openapi: "3.1.0",
    info: {
      title: "Wheelgram",
      version,
      description:
        "What a Wheelgram server keeps and hears. Units stand in the names of the keys; times of day are RFC 3339 in UTC. Every refusal is a problem document (RFC 9457) with next steps.",
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [{ url: "/" }],
    paths,
    components: { schemas: componentSchemas() },
  };
}

/** Each body by its name, without the ending that tells it from a type of the decoders. */
const NAMED = new Map<z.ZodType, string>([
  ...[
    ...Object.entries(wire),
    ...Object.entries(deviceWire),
    ...Object.entries(fleetWire),
    ...Object.entries(keepingWire),
    ...Object.entries(lessonWire),
    ...Object.entries(shareWire),
    ...Object.entries(studyWire),
  ].flatMap(([name, schema]) => (schema instanceof z.ZodType ? [[schema, name.replace(/Body$/, "")] as const] : [])),
  [LayoutShape, "Layout"],
]);

function componentSchemas(): Record<string, Part> {
  const registry = z.registry<{ id: string }>();
  for (const [schema, id] of NAMED) registry.add(schema, { id });
  const { schemas } = z.toJSONSchema(registry, { target: "draft-2020-12", io: "input", uri: reference });
  return Object.fromEntries(Object.entries(schemas).map(([name, schema]) => [name, bare(schema)]));
}

function reference(name: string): string {
  return `#/components/schemas/${name}`;
}

/** Without what belongs to a schema that stands alone. */
function bare({ $schema: _, $id: __, id: ___, ...schema }: Part): Part {
  return schema;
}

function schemaOf(schema: z.ZodType): Part {
  const name = NAMED.get(schema);
  if (name !== undefined) return { $ref: reference(name) };
  if (schema instanceof z.ZodArray && schema.element instanceof z.ZodType) {
    return { type: "array", items: schemaOf(schema.element) };
  }
  return bare(z.toJSONSchema(schema, { target: "draft-2020-12", io: "input" }));
}

function operation(route: Route): Operation {
  const { method, path, summary, notes } = route;
  const words = path.replace(/[{}]/g, "").split(/[/.-]/).filter(Boolean);
  return {
    operationId: [method, ...words]
      .map((word, i) => (i === 0 ? word : word[0]?.toUpperCase() + word.slice(1)))
      .join(""),
    summary,
    ...(notes === undefined ? {} : { description: notes.replaceAll("\n", " ") }),
    parameters: [...pathParameters(path), ...headerParameters(route), ...queryParameters(route.query)],
    ...(route.body === undefined ? {} : { requestBody: requestBody(route.body) }),
    responses: responses(route),
  };
}

function pathParameters(path: string): Part[] {
  return [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => ({
    name,
    in: "path",
    required: true,
    schema: { type: "string" },
  }));
}

function headerParameters(route: Route): Part[] {
  const schema = { type: "string" };
  return [
    ...(route.ifMatch ? [{ name: "If-Match", in: "header", required: true, schema, example: '"3"' }] : []),
    ...(takesName(route)
      ? [{ name: "Idempotency-Key", in: "header", required: false, schema, example: '"8e03978e-40d5"' }]
      : []),
    ...(route.path === "/events" ? [{ name: "Last-Event-ID", in: "header", required: false, schema }] : []),
  ];
}

function queryParameters(query: z.ZodObject | undefined): Part[] {
  return Object.entries(query?.shape ?? {}).map(([name, schema]) => ({
    name,
    in: "query",
    required: false,
    schema: schemaOf(schema as z.ZodType),
  }));
}

function requestBody(body: z.ZodType | "octets"): Part {
  // 3.1 says no more of bytes than their type.
  const content =
    body === "octets" ? { "application/octet-stream": {} } : { "application/json": { schema: schemaOf(body) } };
  return { required: true, content };
}

/** What any path may answer. */
const ALWAYS: readonly ProblemName[] = [
  "not-readable",
  "wrong-host",
  "not-paired",
  "foreign-origin",
  "too-many",
  "unexpected",
  "not-now",
];

function responses(route: Route): Record<string, Part> {
  const names: ProblemName[] = [...ALWAYS, "not-fitting", ...(route.problems ?? [])];
  if (route.method !== "get") names.push("no-room");
  if (route.body !== undefined && route.body !== "octets") names.push("not-json", "not-that-type", "too-large");
  if (route.body === "octets") names.push("not-that-type");
  if (takesName(route)) names.push("conflict", "other-write");
  if (route.ifMatch) names.push("stale", "no-revision");
  const byStatus = new Map<number, Set<ProblemName>>();
  for (const name of names) {
    const { status } = PROBLEMS[name];
    byStatus.set(status, (byStatus.get(status) ?? new Set()).add(name));
  }
  const refused = [...byStatus]
    .toSorted(([a], [b]) => a - b)
    .map(([status, all]) => [String(status), problem([...all])]);
  const given = Object.entries(route.answers).map(([status, shape]) => [status, answerPart(shape)]);
  return Object.fromEntries([...given, ...refused]);
}

function problem(names: readonly ProblemName[]): Part {
  const description = names.map((name) => `${PROBLEMS[name].title} (${name}).`).join(" ");
  return { description, content: { "application/problem+json": { schema: schemaOf(wire.ProblemBody) } } };
}

function answerPart({ says, body, headers, types }: AnswerShape): Part {
  const content = contentOf(body, types);
  return {
    description: says,
    ...(headers === undefined ? {} : { headers: headerParts(headers) }),
    ...(content === undefined ? {} : { content }),
  };
}

function headerParts(headers: Readonly<Record<string, string>>): Part {
  return Object.fromEntries(
    Object.entries(headers).map(([name, description]) => [name, { description, schema: { type: "string" } }]),
  );
}

function contentOf(body: AnswerShape["body"], types?: readonly string[]): Part | undefined {
  if (body === undefined) return undefined;
  const text = { schema: { type: "string" } };
  if (body === "page") return { "text/html": text };
  if (body === "file" && types !== undefined) return Object.fromEntries(types.map((type) => [type, {}]));
  if (body === "file") return { "application/json": { schema: {} }, "text/csv": text };
  if (body === "events") return { "text/event-stream": text };
  return { "application/json": { schema: body === "openapi" ? { type: "object" } : schemaOf(body) } };
}
