import type { NoteBody } from "../../../../server/http/wire.ts";
import type { Mark } from "../marks.ts";
import type { PictureMark } from "./PictureView.ts";

/** The marks and notes of a page as its picture shows them; a note without a label is numbered. */
export function pictureMarks(marks: readonly Mark[], notes: readonly NoteBody[]): PictureMark[] {
  return [
    ...marks.map(({ name, atSeconds }) => ({ name, words: "", fromSeconds: atSeconds, toSeconds: atSeconds })),
    ...notes.map(({ label, comment, fromSeconds, toSeconds }, i) => ({
      name: label === "" ? `note ${i + 1}` : label,
      words: comment,
      fromSeconds,
      toSeconds,
    })),
  ];
}
