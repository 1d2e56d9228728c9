import { line, scaleLinear } from "d3";

/** Success against Eb/N0 of one way to read. */
export interface Curve {
  readonly name: string;
  /** Ascending in dB. */
  readonly points: readonly { readonly db: number; readonly right: number; readonly of: number }[];
}

export interface Panel {
  readonly title: string;
  readonly curves: readonly Curve[];
  readonly theory: { readonly what: string; readonly success: (ebN0Db: number) => number };
}

const PANEL = { width: 400, height: 250, left: 44, right: 12, top: 30, plot: 150 };
const INKS = ["#0b5cad", "#b3410e", "#2e7d32", "#7b3fa0", "#8a6d00"];

/** Panels in two columns as a picture that stands by itself: measured as lines with their 90 % intervals, theory dashed. */
export function curvesSvg(title: string, panels: readonly Panel[]): string {
  const rows = Math.ceil(panels.length / 2);
  const most = Math.max(...panels.map(({ curves }) => curves.length));
  const height = PANEL.height + 16 * most;
  const size = { width: 2 * PANEL.width, height: rows * height };
  const body = panels.map((panel, i) => {
    const at = `translate(${(i % 2) * PANEL.width} ${Math.floor(i / 2) * height})`;
    return `<g transform="${at}">${drawn(panel)}</g>`;
  });
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${size.width} ${size.height}" width="${size.width}"`,
    ` height="${size.height}" font-family="DejaVu Sans, Verdana, sans-serif" font-size="11" fill="#1b1b1b">`,
    `<title>${escaped(title)}</title>`,
    `<rect width="100%" height="100%" fill="#fff"/>`,
    ...body,
    "</svg>\n",
  ].join("");
}

function drawn({ title, curves, theory }: Panel): string {
  const levels = curves.flatMap(({ points }) => points.map(({ db }) => db));
  const x = scaleLinear([Math.min(...levels), Math.max(...levels)], [PANEL.left, PANEL.width - PANEL.right]);
  const y = scaleLinear([0, 1], [PANEL.top + PANEL.plot, PANEL.top]);
  const out = [`<text x="${PANEL.left}" y="18" font-weight="bold">${escaped(title)}</text>`];
  for (const share of [0, 0.25, 0.5, 0.75, 0.9, 1]) {
    out.push(
      `<path d="M${PANEL.left} ${px(y(share))}H${PANEL.width - PANEL.right}" stroke="${share === 0.9 ? "#888" : "#ddd"}"/>`,
      `<text x="${PANEL.left - 5}" y="${px(y(share) + 4)}" text-anchor="end">${100 * share}</text>`,
    );
  }
  for (const db of x.ticks(8)) {
    out.push(`<text x="${px(x(db))}" y="${PANEL.top + PANEL.plot + 15}" text-anchor="middle">${db}</text>`);
  }
  const foot = PANEL.top + PANEL.plot + 30;
  out.push(`<text x="${PANEL.left}" y="${foot}">right of 100, against Eb/N0 in dB</text>`);
  const path = line<readonly [number, number]>(
    ([db]) => x(db),
    ([, share]) => y(share),
  );
  const [from, to] = x.domain() as [number, number];
  const dashes = Array.from({ length: 61 }, (_, i) => from + (i * (to - from)) / 60);
  out.push(
    `<path d="${rounded(path(dashes.map((db) => [db, theory.success(db)] as const)))}" fill="none" stroke="#1b1b1b" stroke-dasharray="5 4"/>`,
    legend(foot + 16, "#1b1b1b", `theory: ${theory.what}`, true),
  );
  curves.forEach(({ name, points }, i) => {
    const ink = INKS[i % INKS.length]!;
    const shares = points.map(({ db, right, of }) => [db, right / of] as const);
    out.push(`<path d="${rounded(path(shares))}" fill="none" stroke="${ink}" stroke-width="2"/>`);
    for (const { db, right, of } of points) {
      const { low, high } = interval(right, of);
      out.push(`<path d="M${px(x(db))} ${px(y(low))}V${px(y(high))}" stroke="${ink}"/>`);
    }
    out.push(legend(foot + 32 + 16 * i, ink, name, false));
  });
  return out.join("");
}

function legend(y: number, ink: string, name: string, dashed: boolean): string {
  const stroke = `stroke="${ink}" stroke-width="2"${dashed ? ' stroke-dasharray="5 4"' : ""}`;
  return `<path d="M${PANEL.left} ${y - 4}h24" ${stroke}/><text x="${PANEL.left + 30}" y="${y}">${escaped(name)}</text>`;
}

/** 90 % interval of a share. @source Wilson 1927 (from memory). */
function interval(right: number, of: number): { low: number; high: number } {
  const z = 1.645;
  const p = right / of;
  const middle = (p + (z * z) / (2 * of)) / (1 + (z * z) / of);
  const half = (z / (1 + (z * z) / of)) * Math.sqrt((p * (1 - p)) / of + (z * z) / (4 * of * of));
  return { low: middle - half, high: middle + half };
}

/**
 * Eb/N0 in dB at which a measured curve first stays at a share or over it: evened out to never fall, straight between
 * points; `undefined` where it never gets there or is over it from the first point on.
 */
export function crossing({ points }: Pick<Curve, "points">, share: number): number | undefined {
  const pools: { right: number; of: number; dbs: number[] }[] = [];
  for (const { db, right, of } of points) {
    pools.push({ right, of, dbs: [db] });
    for (;;) {
      const last = pools.at(-1)!;
      const before = pools.at(-2);
      if (!before || before.right / before.of <= last.right / last.of) break;
      pools.splice(-2, 2, {
        right: before.right + last.right,
        of: before.of + last.of,
        dbs: [...before.dbs, ...last.dbs],
      });
    }
  }
  const even = pools.flatMap(({ right, of, dbs }) => dbs.map((db) => ({ db, share: right / of })));
  const at = even.findIndex((point) => point.share >= share);
  if (at <= 0) return undefined;
  const [a, b] = [even[at - 1]!, even[at]!];
  return a.db + ((share - a.share) / (b.share - a.share)) * (b.db - a.db);
}

function px(value: number): string {
  return value.toFixed(1);
}

function rounded(path: string | null): string {
  return (path ?? "").replace(/\d+\.\d+/g, (number) => px(Number(number)));
}

function escaped(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;");
}
