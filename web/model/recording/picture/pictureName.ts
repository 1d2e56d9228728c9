import { decimalsFor } from "../range.ts";
import type { PictureView } from "./PictureView.ts";

/** What a picture is called as a file, such as `sound-car_0.000-0.600s_30521914.svg`: name, stretch and content hash. */
export function pictureName({ recording, range }: Pick<PictureView, "recording" | "range">, ending: string): string {
  const { fromSeconds, toSeconds } = range;
  const decimals = decimalsFor((toSeconds - fromSeconds) / 100);
  // Some systems refuse other signs in the name of a file, and most a name of more than 255 bytes.
  const plain = recording.name.replace(/[^A-Za-z0-9._-]+/g, "-").slice(0, 100);
  const stretch = `${fromSeconds.toFixed(decimals)}-${toSeconds.toFixed(decimals)}s`;
  return `${plain === "" ? "recording" : plain}_${stretch}_${recording.hash.slice(0, 8)}.${ending}`;
}
