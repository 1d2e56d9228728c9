/**
 * A path as the operators of a PDF.
 *
 * @param d As `PathShape.d`.
 * @throws RangeError for another command.
 * @source SVG 2, 9.3 (path data); ISO 32000-1, 8.5.2 (path construction).
 */
export function pdfPath(d: string): string {
  const words = d.match(/[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?/g) ?? [];
  const out: string[] = [];
  let [x, y, startX, startY] = [0, 0, 0, 0];
  let command = "";
  let i = 0;
  const number = () => {
    const value = Number(words[i++]);
    if (!Number.isFinite(value)) throw new RangeError(`the path ${d.slice(0, 40)} lacks a number after ${command}`);
    return value;
  };
  while (i < words.length) {
    if (/[A-Za-z]/.test(words[i] ?? "")) command = words[i++] ?? "";
    switch (command) {
      case "M":
      case "L":
        [x, y] = [number(), number()];
        break;
      case "m":
      case "l":
        [x, y] = [x + number(), y + number()];
        break;
      case "H":
        x = number();
        break;
      case "h":
        x += number();
        break;
      case "V":
        y = number();
        break;
      case "v":
        y += number();
        break;
      case "Z":
      case "z":
        out.push("h");
        [x, y] = [startX, startY];
        command = "";
        continue;
      default:
        throw new RangeError(`a path of a picture has no command ${command || words[i]}`);
    }
    const moves = command === "M" || command === "m";
    out.push(`${short(x)} ${short(y)} ${moves ? "m" : "l"}`);
    if (moves) {
      [startX, startY] = [x, y];
      command = command === "M" ? "L" : "l"; // further numbers draw
    }
  }
  return out.join("\n");
}

function short(value: number): string {
  return String(Number(value.toFixed(3)) + 0);
}
