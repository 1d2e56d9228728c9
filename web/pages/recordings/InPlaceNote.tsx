import type { JSX } from "preact";
import type { RecordingBody } from "../../../server/http/wire.ts";
import { Mark } from "../../views/Mark.tsx";

/** Of a recording that is read where it lies: that its file is not as it was, and what to do. */
export function InPlaceNote({ recording: { inPlace } }: { readonly recording: RecordingBody }): JSX.Element | null {
  if (!inPlace || inPlace.state === "there") return null;
  return (
    <p class="in-place-note">
      <Mark strength="look here" words={inPlace.state === "gone" ? "Its file is gone" : "Its file has changed"} />{" "}
      {inPlace.state === "gone"
        ? `${inPlace.path} is no longer in the data folder. Put it back as it was; what was found in it is still here.`
        : `${inPlace.path} is not as it was. `}
      {inPlace.state === "changed" && <a href="/recordings">Open it again in the list.</a>}
    </p>
  );
}
