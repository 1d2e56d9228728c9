import type { JSX } from "preact";
import { sizeWords } from "../../model/recording/listWords.ts";
import { namedFile } from "../../model/recording/sharedLink.ts";
import { Mark } from "../../views/Mark.tsx";
import { AddRecordings } from "./AddRecordings.tsx";

interface MissingRecordingProps {
  readonly hash: string;
  /** Asks again whether it is there. */
  readonly onAdded: () => void;
}

/** A link to a recording that is not here: it says which one it is and asks for it; then the same view opens. */
export function MissingRecording({ hash, onAdded }: MissingRecordingProps): JSX.Element {
  const file = namedFile(location.search);
  const size = file?.bytes === undefined ? "" : `, ${sizeWords(file.bytes)} of samples`;
  const which = file
    ? `This link leads into the recording “${file.name}”${size}.`
    : "This link does not name its recording.";
  return (
    <section class="missing-recording" aria-label="A recording that is not here">
      <p>
        <Mark strength="look here" words="Not on this computer" />
      </p>
      <p>{`${which} Its samples have the hash ${hash.slice(0, 16)}….`}</p>
      <p>
        Find its file on this computer, or ask whoever sent the link for it. Once it is added here, this view opens. A
        file with other samples is added too, and then this page stays as it is.
      </p>
      <AddRecordings onAdded={onAdded}>
        {() => (
          <p class="form-foot">
            <a class="button" href="/recordings">
              All recordings
            </a>
          </p>
        )}
      </AddRecordings>
    </section>
  );
}
