import type { Express, Request, Response } from "express";
import { LOT_RECORD_CSS } from "./lotRecord/style.ts";
import type { OpenApi, Operation } from "./openapi.ts";
import { escaped, PAGE_CSS, page } from "./page.ts";
import { Problem } from "./problem.ts";
import { isProblemName, PROBLEMS } from "./problems.ts";
import { PAPER_CSS, SHEET_CSS } from "./sheet/style.ts";

/** Puts in the help pages that need no script: what each problem means, and the interface for other programs. */
export function mountHelp(app: Express, description: OpenApi): void {
  const send = (response: Response, html: string) => {
    response.set("Cache-Control", "no-cache").type("html").send(html);
  };
  for (const [name, css] of Object.entries(STYLES)) {
    app.get(`/help/${name}.css`, (_: Request, response: Response) => {
      response.set("Cache-Control", "no-cache").type("css").send(css);
    });
  }
  app.get("/help/problems/:name", ({ params }: Request, response: Response) => {
    const name = String(params["name"]);
    if (!isProblemName(name)) throw new Problem("not-found", `There is no problem called ${name}.`);
    const { title, status, why, nextSteps } = PROBLEMS[name];
    const steps = nextSteps.map((step) => `<li>${escaped(step)}</li>`).join("");
    send(
      response,
      page(
        title,
        `<h1>${escaped(title)}</h1>
<p>${escaped(why)}</p>
<h2>What to do</h2>
<ol>${steps}</ol>
<p class="second">Other programs are told status ${status} and the name <code>${name}</code>. <a href="/">Back to Wheelgram</a></p>`,
      ),
    );
  });
  app.get("/help/api", (_: Request, response: Response) => send(response, apiPage(description)));
}

/** A page names its style sheets: none may stand in the page itself. */
const STYLES: Readonly<Record<string, string>> = {
  page: PAGE_CSS,
  sheet: SHEET_CSS,
  "lot-record": LOT_RECORD_CSS,
  "sheet-a4": PAPER_CSS.a4,
  "sheet-letter": PAPER_CSS.letter,
};

function apiPage({ paths, components }: OpenApi): string {
  const operations = Object.entries(paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => operationPart(method, path, operation)),
  );
  const schemas = Object.entries(components.schemas).map(
    ([name, schema]) =>
      `<details id="schema-${escaped(name)}"><summary>${escaped(name)}</summary><pre>${json(schema)}</pre></details>`,
  );
  return page(
    "The HTTP interface",
    `<h1>The HTTP interface</h1>
<p>For other programs on this computer. The same as a file: <a href="/api/v1/openapi.json">openapi.json</a> (OpenAPI 3.1).</p>
<p>Bodies are JSON, units stand in the names of the keys, times of day are RFC 3339 in UTC. Every refusal is a problem document (RFC 9457) that says what to do next.</p>
${operations.join("\n")}
<h2>Bodies</h2>
${schemas.join("\n")}`,
  );
}

function operationPart(method: string, path: string, operation: Operation): string {
  const { summary, description, parameters, requestBody, responses } = operation;
  const given = parameters.map(
    ({ name, in: place, schema }) =>
      `<tr><td><code>${escaped(String(name))}</code></td><td>${escaped(String(place))}</td><td><code>${json(schema, 0)}</code></td></tr>`,
  );
  const answers = Object.entries(responses).map(
    ([status, { description: says, content }]) =>
      `<tr><td>${status}</td><td>${escaped(String(says))}</td><td>${content === undefined ? "no body" : bodyPart(content)}</td></tr>`,
  );
  return `<h2 id="${escaped(operation.operationId)}"><code>${method.toUpperCase()} ${escaped(path)}</code></h2>
<p>${escaped(summary)}.${description === undefined ? "" : ` ${escaped(description)}`}</p>
${given.length === 0 ? "" : `<div class="wide"><table><thead><tr><th scope="col">Name</th><th scope="col">Where</th><th scope="col">Value</th></tr></thead><tbody>${given.join("")}</tbody></table></div>`}
${requestBody === undefined ? "" : `<p>Body: ${bodyPart(requestBody["content"])}</p>`}
<div class="wide"><table><thead><tr><th scope="col">Answer</th><th scope="col">When</th><th scope="col">Body</th></tr></thead><tbody>${answers.join("")}</tbody></table></div>`;
}

/** A body in words, its schema linked; whatever has no name of its own is shown as it is. */
function bodyPart(content: unknown): string {
  if (typeof content !== "object" || content === null) return `<code>${json(content, 0)}</code>`;
  return Object.entries(content)
    .map(([mediaType, { schema }]: [string, { schema?: Schema }]) => {
      const kind = mediaType === "application/json" ? "" : ` <span class="second">${escaped(mediaType)}</span>`;
      const name = refName(schema);
      if (name !== undefined) return `${schemaLink(name)}${kind}`;
      const items = refName(schema?.items);
      if (items !== undefined) return `list of ${schemaLink(items)}${kind}`;
      return schema === undefined ? escaped(mediaType) : `<code>${json(schema, 0)}</code>${kind}`;
    })
    .join(", or ");
}

interface Schema {
  readonly $ref?: string;
  readonly items?: Schema;
}

function refName(schema: Schema | undefined): string | undefined {
  return schema?.$ref?.replace("#/components/schemas/", "");
}

function schemaLink(name: string): string {
  return `<a href="#schema-${escaped(name)}">${escaped(name)}</a>`;
}

function json(value: unknown, indent = 2): string {
  return escaped(JSON.stringify(value, undefined, indent));
}
