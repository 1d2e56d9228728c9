/** Something in a syntax tree that has keys. */
export type Node = Readonly<Record<string, unknown>>;

export function isNode(value: unknown): value is Node {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** Every node below a value, itself first. */
export function* nodesOf(value: unknown): Generator<Node> {
  if (Array.isArray(value)) for (const item of value) yield* nodesOf(item);
  else if (isNode(value)) {
    if (typeof value["type"] === "string") yield value;
    for (const child of Object.values(value)) yield* nodesOf(child);
  }
}
