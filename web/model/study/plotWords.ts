/** What a plot says of itself in its title and its description. */
export function plotWords(svg: string): { readonly title: string; readonly description: string } {
  const of = (element: string) =>
    unescaped(new RegExp(`<${element}[^>]*>([\\s\\S]*?)</${element}>`).exec(svg)?.[1] ?? "");
  return { title: of("title"), description: of("desc") };
}

function unescaped(text: string): string {
  return text.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&quot;", '"').replaceAll("&amp;", "&");
}
