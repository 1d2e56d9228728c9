import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";

/** Holds answers against the description that the server gives of itself. */
export interface Described {
  /** @throws Error where an answer is not as described; a path that is not described may only be a 404. */
  readonly check: (method: string, path: string, status: number, type: string, body: unknown) => void;
}

interface Content {
  readonly [type: string]: { readonly schema?: object };
}

/** As much of OpenAPI as the checks need. */
export interface Document {
  readonly paths: Readonly<
    Record<string, Readonly<Record<string, { readonly responses: Readonly<Record<string, { content?: Content }>> }>>>
  >;
  readonly components: { readonly schemas: Readonly<Record<string, object>> };
}

export function createDescribed(document: Document): Described {
  const ajv = new Ajv2020({ strict: false, allErrors: true });
  ajv.addSchema({ $id: "http://described/", components: document.components });
  const compiled = new Map<object, ValidateFunction>();

  const validate = (schema: object, body: unknown, about: string): void => {
    let check = compiled.get(schema);
    if (!check) {
      const here = JSON.parse(JSON.stringify(schema).replaceAll('"#/components', '"http://described/#/components'));
      check = ajv.compile(here);
      compiled.set(schema, check);
    }
    if (!check(body)) throw new Error(`${about} is not as described: ${ajv.errorsText(check.errors)}`);
  };

  const problem = document.components.schemas["Problem"];
  if (!problem) throw new Error("the description has no Problem");

  return {
    check(method, path, status, type, body) {
      const about = `${method} ${path}, ${status}`;
      const bare = path.split("?")[0] ?? "";
      const known = Object.entries(document.paths).find(([described]) => patternOf(described).test(bare))?.[1];
      if (status >= 400) {
        if (!type.startsWith("application/problem+json")) throw new Error(`${about}: a refusal of type ${type}`);
        validate({ $ref: "#/components/schemas/Problem" }, body, about);
      }
      const operation = known?.[method.toLowerCase()];
      if (!operation) {
        if (status === 404 || status === 405 || (method === "OPTIONS" && status === 204)) return;
        throw new Error(`${about}: no such operation is described`);
      }
      const response = operation.responses[String(status)];
      if (!response) throw new Error(`${about}: no such status is described`);
      const content = Object.entries(response.content ?? {});
      const described = content.find(([name]) => type.startsWith(name)) ?? content[0];
      if (!described) {
        if (body !== undefined) throw new Error(`${about}: a body where none is described`);
        return;
      }
      if (!type.startsWith(described[0])) throw new Error(`${about}: ${type} where ${described[0]} is described`);
      if (described[1].schema) validate(described[1].schema, body, about);
    },
  };
}

function patternOf(path: string): RegExp {
  return new RegExp(`^${path.replace(/\./g, "\\.").replace(/\{\w+\}/g, "[^/]+")}$`);
}
