import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { StudySettingsBody } from "../../../server/http/wire/studies.ts";
import type { InPlaceFolderBody, RecordingBody } from "../../../server/http/wire.ts";
import { useAction } from "../../actionsHere.ts";
import type { Problem } from "../../api.ts";
import { inPlaceFolder } from "../../calls/inPlace.ts";
import { recordings } from "../../calls/recordings.ts";
import { addStudy, removeStudy, studySettings } from "../../calls/studies.ts";
import { keepTyping, keptTyping } from "../../device.ts";
import { useLoaded } from "../../loaded.ts";
import { chosenFiles, sourcesOf } from "../../model/study/chosen.ts";
import { emptyStudy, studyDraftText, studyFromDraft } from "../../model/study/newStudy.ts";
import type { SettingsJson } from "../../model/study/settingsForm.ts";
import { go } from "../../router.ts";
import { TextField } from "../../views/Fields.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { ChooseInputs } from "./ChooseInputs.tsx";
import { ChooseSettings } from "./ChooseSettings.tsx";
import { TryFive } from "./TryFive.tsx";
import "./studies.css";

/** A study before it begins: what goes in, its settings, and a try of five before they are frozen. */
export function NewStudyPage(): JSX.Element {
  const settings = useLoaded("study settings", studySettings);
  const all = useLoaded("recordings", recordings);
  const inPlace = useLoaded("in-place", inPlaceFolder);
  return (
    <Page
      title="A new study"
      lead={
        <>
          Choose recordings, set what there is to set, try five of them, then freeze the settings and run. One of the{" "}
          <a href="/studies">studies</a>.
        </>
      }
    >
      <Waiting loaded={settings} what="the settings">
        {(defaults) => (
          <Waiting loaded={all} what="the recordings">
            {(recordings) => (
              <Waiting loaded={inPlace} what="the files in the data folder">
                {(folder) => <Form defaults={defaults} recordings={recordings} folder={folder} />}
              </Waiting>
            )}
          </Waiting>
        )}
      </Waiting>
    </Page>
  );
}

interface FormProps {
  readonly defaults: StudySettingsBody;
  readonly recordings: readonly RecordingBody[];
  readonly folder: InPlaceFolderBody;
}

function Form({ defaults, recordings, folder }: FormProps): JSX.Element {
  const atHand = { defaults: defaults.settings, recordings, files: folder.files };
  const [before] = useState(() => studyFromDraft(keptTyping(DRAFT), atHand));
  const [form, setForm] = useState(before);
  const [isTold, setTold] = useState(studyDraftText(before, defaults.settings) !== null);
  const { title, chosen, settings } = form;
  const draft = studyDraftText(form, defaults.settings);
  useEffect(() => void keepTyping(DRAFT, draft), [draft]);
  const [tried, setTried] = useState<string>();
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState<Problem>();
  const files = chosenFiles(chosen, folder.files);
  const isNamed = title.trim() !== "";

  const begin = async (trial: boolean) => {
    setBusy(true);
    const name = isNamed ? title.trim() : "A try of five";
    const answer = await addStudy({ title: name, sources: [...sourcesOf(chosen)], settings: toSend(settings), trial });
    setProblem(answer.ok ? undefined : answer.problem);
    // One try takes the place of the one before; it was only a look.
    if (answer.ok && tried !== undefined) await removeStudy(tried);
    setBusy(false);
    if (!answer.ok) return;
    if (trial) return setTried(answer.value.id);
    keepTyping(DRAFT, null);
    go({ page: "study", id: answer.value.id });
  };
  const beginEmpty = () => {
    setForm(emptyStudy(atHand));
    setTold(false);
  };
  const tryFive = () => void begin(true);
  const freeze = () => void begin(false);
  useAction("study.empty", beginEmpty, isTold);
  useAction("study.try", tryFive, files > 0 && !busy);
  useAction("study.freeze", freeze, files > 0 && isNamed && !busy);

  return (
    <div class="new-study">
      <section>
        <h2>1. What goes in</h2>
        {isTold && (
          <p class="caption">
            As you left it on this device.{" "}
            <button type="button" class="button" onClick={beginEmpty}>
              Begin empty
            </button>
          </p>
        )}
        <TextField
          label="Title of the study"
          value={title}
          maxLength={200}
          onInput={(title) => setForm({ ...form, title })}
        />
        <ChooseInputs
          recordings={recordings}
          folder={folder}
          chosen={chosen}
          onChange={(chosen) => setForm({ ...form, chosen })}
        />
      </section>
      <section>
        <h2>2. Its settings</h2>
        <ChooseSettings
          defaults={defaults.settings}
          settings={settings}
          title={title}
          onChange={(settings) => setForm({ ...form, settings })}
        />
      </section>
      <section>
        <h2>3. Try five</h2>
        <p>Five of the inputs, spread over all of them, with these settings. Change the settings and try again.</p>
        <p class="form-foot">
          <button type="button" class="button" disabled={files === 0 || busy} onClick={tryFive}>
            Try five first
          </button>
        </p>
        {tried !== undefined && <TryFive key={tried} id={tried} />}
      </section>
      <section>
        <h2>4. Freeze and run</h2>
        <p>From here on the settings stay as they are, so that all inputs are decoded alike.</p>
        <p class="form-foot">
          <button type="button" class="button main" disabled={files === 0 || !isNamed || busy} onClick={freeze}>
            Freeze the settings and run
          </button>
        </p>
        {(files === 0 || !isNamed) && (
          <p class="caption">{files === 0 ? "Nothing is chosen yet." : "It still needs a title."}</p>
        )}
        {problem && <ProblemNote problem={problem} />}
      </section>
    </div>
  );
}

/** Under which the form is kept. */
const DRAFT = "study";

/** Without what the server writes itself. */
function toSend(settings: SettingsJson): StudySettingsBody["settings"] {
  const { toolVersion: _, ...rest } = settings;
  return JSON.parse(JSON.stringify(rest));
}
