import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { health } from "../../calls/health.ts";
import { listed } from "../../model/quantities.ts";
import type { PictureLook } from "../../model/recording/picture/inks.ts";
import type { PictureView } from "../../model/recording/picture/PictureView.ts";
import { pictureName } from "../../model/recording/picture/pictureName.ts";
import { PickOne } from "../Fields.tsx";
import { Mark } from "../Mark.tsx";
import type { PictureKind, TakenPicture } from "./takePicture.ts";
import "./picture.css";

interface PictureMenuProps {
  /** What the page shows now. */
  readonly view: PictureView;
}

const LOOKS = [
  ["page", "as this page"],
  ["paper", "paper"],
  ["night", "night"],
  ["black", "black on white"],
] as const;
type Look = (typeof LOOKS)[number][0];

const PNG_SCALES = [1, 2, 3, 4] as const;

/** Takes what the page shows away: as a file that can be enlarged without end, as pixels, or onto paper. */
export function PictureMenu({ view }: PictureMenuProps): JSX.Element {
  const [look, setLook] = useState<Look>("page");
  const [said, setSaid] = useState("");
  const [failed, setFailed] = useState(false);
  const [busy, setBusy] = useState(false);

  /** Says what came of it; what fails is told, and the page stays as it is. */
  const attempt = async (what: () => Promise<string>) => {
    // The buttons stay as they are: one that is switched off would lose the focus.
    if (busy) return;
    setBusy(true);
    setSaid("Drawing the picture …");
    setFailed(false);
    try {
      setSaid(await what());
    } catch (error) {
      setFailed(true);
      setSaid(`No picture was made: ${error instanceof Error ? error.message : String(error)}`);
    } finally {
      setBusy(false);
    }
  };
  const take = async (kind: PictureKind, scale?: number): Promise<TakenPicture> => {
    const [{ takePicture }, answer] = await Promise.all([import("./takePicture.ts"), health()]);
    if (!answer.ok) throw new Error(answer.problem.title);
    const source = { version: answer.value.version, link: location.href };
    return takePicture(view, source, look === "page" ? lookOfPage() : look, kind, scale);
  };
  const download = (kind: PictureKind, scale?: number) =>
    attempt(async () => {
      const { file, missing } = await take(kind, scale);
      const name = pictureName(view, scale === undefined || scale === 1 ? kind : `${scale}x.${kind}`);
      save(file, name);
      const boxes = missing.length === 0 ? "" : `, with a box in place of ${listed(missing)}`;
      return `${name} was made${boxes}.`;
    });
  const copy = () =>
    attempt(async () => {
      // Handed over at once, as a promise: some browsers take it only while they still know of the press.
      const file = take("png", 2).then((taken) => taken.file);
      await navigator.clipboard.write([new ClipboardItem({ "image/png": file })]);
      return "The picture lies in the clipboard.";
    });

  return (
    <details class="picture-menu">
      <summary>Take this view away as a picture</summary>
      <p class="caption">
        One picture of all bands, with title, units, the recording's hash and a link to this view. SVG and PDF stay
        sharp however large they are shown.
      </p>
      <div class="picture-choices">
        <PickOne label="Look" options={LOOKS} value={look} onChange={setLook} />
        <button type="button" class="button" onClick={() => void download("svg")}>
          SVG
        </button>
        <button type="button" class="button" onClick={() => void download("pdf")}>
          PDF
        </button>
        {PNG_SCALES.map((scale) => (
          <button key={scale} type="button" class="button" onClick={() => void download("png", scale)}>
            {`PNG ${scale}×`}
          </button>
        ))}
        {canCopy() && (
          <button type="button" class="button" onClick={() => void copy()}>
            Copy the picture
          </button>
        )}
        <button type="button" class="button" onClick={() => window.print()}>
          Print the page
        </button>
      </div>
      <p class="done" role="status">
        {failed ? <Mark strength="look here" words={said} /> : said}
      </p>
    </details>
  );
}

/** Over plain HTTP a browser has no clipboard for pictures. */
function canCopy(): boolean {
  return typeof ClipboardItem !== "undefined" && "clipboard" in navigator;
}

function lookOfPage(): PictureLook {
  const theme = document.documentElement.dataset["theme"];
  return theme === "night" ? "night" : theme === "sunlight" ? "black" : "paper";
}

function save(file: Blob, name: string): void {
  const address = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // Taken back at once, the download could find nothing.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}
