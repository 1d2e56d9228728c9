import type { EdgesBody } from "../../../server/http/wire.ts";

/** What became of a mark that was to come to an edge, in a sentence. */
export function edgeWords(name: string, found: EdgesBody | { readonly detail: string }): string {
  if ("detail" in found) return `Mark ${name} stays where it was set: ${found.detail}`;
  const { edge, because } = found;
  if (!edge) return `Mark ${name} stays where it was set: ${because ?? "no edge is near"}`;
  const sure = `give or take ${edge.sigmaSamples < 0.1 ? "under 0.1" : edge.sigmaSamples.toFixed(1)} samples`;
  return `Mark ${name} stands where the ${edge.kind}, at sample ${edge.sample.toFixed(1)}, ${sure}.`;
}
