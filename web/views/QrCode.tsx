import type { JSX } from "preact";
import qrcode from "qrcode-generator";

/** Light modules that the standard asks for on each side. @source ISO/IEC 18004, quiet zone of four modules; from memory. */
const QUIET = 4;

/** A text as a QR code, black on white in every theme, since readers need it so. */
export function QrCode({ text, label }: { readonly text: string; readonly label: string }): JSX.Element {
  const { size, dark } = modulesOf(text);
  const whole = size + 2 * QUIET;
  return (
    <svg class="qr-code" viewBox={`0 0 ${whole} ${whole}`} role="img" aria-label={label} shape-rendering="crispEdges">
      <rect width={whole} height={whole} fill="#fff" />
      <path fill="#000" d={dark.map(([x, y]) => `M${x + QUIET} ${y + QUIET}h1v1h-1z`).join("")} />
    </svg>
  );
}

/** Modules a side, and the places of the dark ones. */
function modulesOf(text: string): { readonly size: number; readonly dark: readonly (readonly [number, number])[] } {
  const code = qrcode(0, "M");
  code.addData(text);
  code.make();
  const size = code.getModuleCount();
  const places = Array.from({ length: size * size }, (_, i) => [i % size, Math.floor(i / size)] as const);
  return { size, dark: places.filter(([x, y]) => code.isDark(y, x)) };
}
