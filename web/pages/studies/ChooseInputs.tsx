import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { InPlaceFolderBody, RecordingBody } from "../../../server/http/wire.ts";
import { useActions } from "../../actionsHere.ts";
import { counted } from "../../model/quantities.ts";
import { lengthWords } from "../../model/recording/listWords.ts";
import { type Chosen, chosenFiles } from "../../model/study/chosen.ts";
import { inPlaceChoices } from "../../model/study/inPlaceTree.ts";
import { ChooseRecordings } from "../../views/ChooseRecordings.tsx";
import { TextField } from "../../views/Fields.tsx";

interface ChooseInputsProps {
  readonly recordings: readonly RecordingBody[];
  readonly folder: InPlaceFolderBody;
  readonly chosen: Chosen;
  readonly onChange: (chosen: Chosen) => void;
}

/** Recordings of the house, and files or whole folders that were put into the data folder. */
export function ChooseInputs({ recordings, folder, chosen, onChange }: ChooseInputsProps): JSX.Element {
  const [find, setFind] = useState("");
  const rows = recordings
    .filter(({ name }) => name.toLowerCase().includes(find.trim().toLowerCase()))
    .map(({ hash, name, seconds }) => ({ hash, words: `${name}, ${lengthWords(seconds)}` }));
  // What is opened already stands among the recordings; a folder takes it along all the same, and once.
  const choices = inPlaceChoices(folder.files.map(({ path }) => path)).map(({ path, words }) => ({
    hash: path,
    words,
  }));
  const takeAll = () =>
    onChange({ ...chosen, hashes: [...new Set([...chosen.hashes, ...rows.map(({ hash }) => hash)])] });
  const takeNone = () => onChange({ hashes: [], paths: [] });
  useActions({ "study.all": rows.length > 0 ? takeAll : undefined, "study.none": takeNone });
  const files = chosenFiles(chosen, folder.files);
  return (
    <>
      {recordings.length === 0 ? (
        <p>
          No recording is here yet: add some at <a href="/recordings">Recordings</a>, or put files into the folder
          below.
        </p>
      ) : (
        <>
          {recordings.length > 12 && (
            <TextField label="Only recordings whose name has in it" value={find} onInput={setFind} />
          )}
          <ChooseRecordings
            legend="Recordings of this house"
            rows={rows}
            chosen={chosen.hashes}
            onChange={(hashes) => onChange({ ...chosen, hashes })}
          />
          <p class="form-foot">
            <button type="button" class="button small" onClick={takeAll}>
              Take all
            </button>
            <button type="button" class="button small" onClick={takeNone}>
              Take none
            </button>
          </p>
        </>
      )}
      {choices.length > 0 ? (
        <ChooseRecordings
          legend="Files in the data folder, read where they lie"
          rows={choices}
          chosen={chosen.paths}
          onChange={(paths) => onChange({ ...chosen, paths })}
        />
      ) : (
        <p class="caption">
          Hundreds of files need not be added one by one: put them, or a link to their folder, into{" "}
          <code>{folder.folder}</code> on the server's computer, and open this page again.
        </p>
      )}
      <p role="status">{files === 0 ? "Nothing is chosen." : `${counted(files, "file")} chosen.`}</p>
    </>
  );
}
