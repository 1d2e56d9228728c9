import jsQR from "jsqr";
import { render } from "preact";
import { act } from "preact/test-utils";
import { expect, it } from "vitest";
import { QrCode } from "../../web/views/QrCode.tsx";

const SCALE = 4;

/** The drawing as pixels: the white ground, and a black square for each step of its path. */
function pixelsOf(svg: SVGSVGElement): { readonly data: Uint8ClampedArray; readonly side: number } {
  const modules = Number(svg.getAttribute("viewBox")?.split(" ")[2]);
  const side = modules * SCALE;
  const data = new Uint8ClampedArray(4 * side * side).fill(255);
  const squares =
    svg
      .querySelector("path")
      ?.getAttribute("d")
      ?.matchAll(/M(\d+) (\d+)h1v1h-1z/g) ?? [];
  for (const [, x, y] of squares) {
    for (let i = 0; i < SCALE * SCALE; i++) {
      const at = (Number(y) * SCALE + Math.floor(i / SCALE)) * side + Number(x) * SCALE + (i % SCALE);
      data.fill(0, 4 * at, 4 * at + 3);
    }
  }
  return { data, side };
}

it.each(["left front 3A51C0DE", "left front 3A51C0DE\nright front 3A51C1A7\nleft rear 3A51C2F9\nspare 0A51BB04"])(
  "a QR code of %j is read back by a reader of another make",
  async (text) => {
    const page = document.createElement("div");
    await act(async () => render(<QrCode text={text} label="The list" />, page));
    const svg = page.querySelector("svg");
    if (!svg) throw new Error("nothing was drawn");
    expect(svg.getAttribute("aria-label")).toBe("The list");
    const { data, side } = pixelsOf(svg);
    expect(jsQR(data, side, side)?.data).toBe(text);
  },
);
