/** A text as it may stand in HTML, between tags and in quoted attributes. */
export function escaped(text: string): string {
  return text.replace(/[&<>"']/g, (char) => `&#${char.charCodeAt(0)};`);
}

/**
 * A page of its own, without scripts: for print, and for where the pages of the house do not reach.
 *
 * @param title Plain text.
 * @param content HTML.
 * @param styles Names of the style sheets below `/help`: no style may stand in the page itself.
 */
export function page(title: string, content: string, styles: readonly string[] = ["page"]): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="/mark.svg">
<title>${escaped(title)}</title>
<link rel="icon" href="/mark.svg" type="image/svg+xml">
${styles.map((name) => `<link rel="stylesheet" href="/help/${name}.css">`).join("\n")}
</head>
<body>
<main>
${content}
</main>
</body>
</html>
`;
}

export const PAGE_CSS = `:root { color-scheme: light dark; --ground: #f5f2ea; --ink: #20242a; --second: #565c63; --rule: #8b8779; --act: #0b5c73; }
@media (prefers-color-scheme: dark) {
  :root { --ground: #191c20; --ink: #ece8dc; --second: #b4b0a5; --act: #6fc3da; }
}
body { margin: 0; background: var(--ground); color: var(--ink); font: 16px/1.5 system-ui, sans-serif; }
main { max-width: 68rem; margin: 0 auto; padding: 24px 16px 48px; }
p, li { max-width: 68ch; }
h1 { font-size: 28px; line-height: 1.2; }
h2 { font-size: 20px; margin-top: 40px; border-top: 1px solid var(--rule); padding-top: 12px; }
a { color: var(--act); }
:focus-visible { outline: 3px solid var(--act); outline-offset: 2px; }
code, pre, .id { font-family: ui-monospace, monospace; font-size: 14px; }
pre { overflow-x: auto; border: 1px solid var(--rule); padding: 12px; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 8px 12px 8px 0; border-bottom: 1px solid var(--rule); }
td.figure, th.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.second { color: var(--second); }
@media print {
  :root { --ground: #fff; --ink: #000; --second: #000; --rule: #000; --act: #000; }
  main { max-width: none; padding: 0; }
  body { font-size: 11pt; }
  tr, h2 { break-inside: avoid; }
}
`;
