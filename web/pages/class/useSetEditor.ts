import { useEffect, useRef, useState } from "preact/hooks";
import type { ExerciseSetFileBody } from "../../../server/http/wire/exercises.ts";
import type { Answer, Problem } from "../../api.ts";
import { changeExerciseSet, exerciseSet, exerciseSetFile } from "../../calls/exercises.ts";
import { keepTyping, keptTyping } from "../../device.ts";
import type { Fault } from "../../model/class/exerciseDraft.ts";
import { keptSetDraft } from "../../model/class/keptSetDraft.ts";
import { faultsOfProblem, fileOf, type SetDraft, setDraft } from "../../model/class/setDraft.ts";

/** A set as it was asked for, with the number that a change is based on. */
export interface SetAsked {
  readonly revision: number;
  readonly file: ExerciseSetFileBody;
}

/** A set that is being written: every change is kept here at once, and on the server soon after. */
export interface SetEditor {
  readonly draft: SetDraft;
  /** @param box What was changed: typing on in one box is one step to undo. */
  readonly change: (draft: SetDraft, box: string) => void;
  readonly undo: (() => void) | undefined;
  /** What the server, or JSON itself, does not take. */
  readonly faults: readonly Fault[];
  /** Where what was written is by now, in words. */
  readonly says: string;
  readonly problem: Problem | undefined;
  /** Somebody else wrote it meanwhile: nothing more is written until one of the two is chosen. */
  readonly conflict: { readonly keepMine: () => void; readonly keepTheirs: () => void } | undefined;
}

const WRITE_MS = 900;
const AGAIN_MS = 5000;
const MOST_STEPS = 100;

/** The revision first: where the file is newer than that, a change is refused and nothing is lost. */
export async function askSet(id: string): Promise<Answer<SetAsked>> {
  const head = await exerciseSet(id);
  if (!head.ok) return head;
  const file = await exerciseSetFile(id);
  return file.ok ? { ok: true, value: { revision: head.value.revision, file: file.value } } : file;
}

export function useSetEditor(id: string, asked: SetAsked): SetEditor {
  const [kept] = useState(() => keptSetDraft(keptTyping(`set.${id}`)));
  const [draft, setDraftNow] = useState<SetDraft>(() => kept?.draft ?? setDraft(asked.file));
  const [steps, setSteps] = useState<readonly { readonly box: string; readonly draft: SetDraft }[]>([]);
  const [saved, setSaved] = useState(() => textOf(setDraft(asked.file)));
  const [revision, setRevision] = useState(asked.revision);
  // The last file that was sent from here: what comes back as that is nobody else's.
  const sent = useRef(kept?.sent);
  const isOwn = ({ file }: SetAsked) => sent.current === textOf(setDraft(file));
  const [theirs, setTheirs] = useState<SetAsked | undefined>(() =>
    kept && kept.revision !== asked.revision && !isOwn(asked) ? asked : undefined,
  );
  const [refused, setRefused] = useState<{ readonly text: string; readonly faults: readonly Fault[] }>();
  const [problem, setProblem] = useState<Problem>();
  const [isKept, setKept] = useState(true);
  const [round, setRound] = useState(0);
  const writing = useRef(false);

  const { file, faults: notJson } = fileOf(draft);
  const text = JSON.stringify(file);
  const isSaved = text === saved && notJson.length === 0;
  const isRefused = refused?.text === text;

  const keep = (now: SetDraft, based: number) =>
    setKept(keepTyping(`set.${id}`, JSON.stringify({ version: 1, revision: based, draft: now, sent: sent.current })));

  useEffect(() => {
    if (isSaved && !theirs) keepTyping(`set.${id}`, null);
  }, [isSaved, theirs]);

  useEffect(() => {
    if (isSaved || isRefused || theirs || notJson.length > 0) return;
    const timer = setTimeout(() => void write(), problem ? AGAIN_MS : WRITE_MS);
    return () => clearTimeout(timer);
  }, [text, revision, theirs, isRefused, round]);

  async function write(): Promise<void> {
    if (writing.current) return;
    writing.current = true;
    const before = sent.current;
    sent.current = text;
    keep(draft, revision);
    const answer = await changeExerciseSet(id, revision, file);
    writing.current = false;
    if (answer.ok) {
      setSaved(text);
      setRevision(answer.value.revision);
      setProblem(undefined);
      setRefused(undefined);
    } else if (answer.problem.status === 412) {
      const now = await askSet(id);
      sent.current = before;
      if (!now.ok) setProblem(now.problem);
      else if (isOwn(now.value)) {
        // It was written before the page was loaded anew, and told to nobody.
        setSaved(before ?? "");
        setRevision(now.value.revision);
      } else setTheirs(now.value);
    } else if (answer.problem.complaints !== undefined) {
      setProblem(undefined);
      setRefused({ text, faults: faultsOfProblem(answer.problem) });
    } else {
      setProblem(answer.problem);
      setRound((before) => before + 1);
    }
  }

  const put = (now: SetDraft) => {
    setDraftNow(now);
    keep(now, revision);
  };

  return {
    draft,
    change(now, box) {
      if (steps.at(-1)?.box !== box) setSteps([...steps.slice(1 - MOST_STEPS), { box, draft }]);
      put(now);
    },
    undo:
      steps.length === 0
        ? undefined
        : () => {
            const last = steps.at(-1);
            if (last) put(last.draft);
            setSteps(steps.slice(0, -1));
          },
    faults: [...notJson, ...(isRefused ? refused.faults : [])],
    says: wordsOf({ isSaved, isRefused, isKept, notJson: notJson.length, hasProblem: problem !== undefined }),
    problem,
    conflict: theirs && {
      keepMine() {
        setRevision(theirs.revision);
        setSaved(textOf(setDraft(theirs.file)));
        keep(draft, theirs.revision);
        setTheirs(undefined);
      },
      keepTheirs() {
        setRevision(theirs.revision);
        setSaved(textOf(setDraft(theirs.file)));
        setDraftNow(setDraft(theirs.file));
        setTheirs(undefined);
      },
    },
  };
}

function textOf(draft: SetDraft): string {
  return JSON.stringify(fileOf(draft).file);
}

interface State {
  readonly isSaved: boolean;
  readonly isRefused: boolean;
  readonly isKept: boolean;
  readonly notJson: number;
  readonly hasProblem: boolean;
}

function wordsOf({ isSaved, isRefused, isKept, notJson, hasProblem }: State): string {
  const here = isKept ? "kept on this device" : "not kept: this device refuses to store it";
  if (isSaved) return "All of it is written.";
  if (notJson > 0 || isRefused) return `Not written yet: something does not fit; ${here}.`;
  if (hasProblem) return `Not on the server yet, ${here}. It is tried again by itself.`;
  return "Writing…";
}
