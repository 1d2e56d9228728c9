import type { JSX } from "preact";
import { Page } from "../views/Page.tsx";

export function HelpPage(): JSX.Element {
  return (
    <Page title="Help" lead="The maker's procedure, local rules and licensed practice come first.">
      <section aria-labelledby="where">
        <h2 id="where">Where to begin</h2>
        <ul class="plain">
          <li>
            A car has come in with its lamp lit: <a href="/jobs">make a job</a>.
          </li>
          <li>
            One transmitter in the hand: <a href="/sending">is it sending?</a>
          </li>
          <li>
            Nothing listens yet: <a href="/receivers">connect a receiver</a>.
          </li>
          <li>
            A sensor sends and nothing reads it: <a href="/layouts">work out its layout</a>.
          </li>
          <li>
            A file from a receiver: <a href="/recordings">add it to the recordings</a>.
          </li>
          <li>
            A word that is not clear: <a href="/words">the words of the house</a>.
          </li>
          <li>
            Another program wants the data: <a href="/help/api">the HTTP interface</a>.
          </li>
        </ul>
      </section>
      <section aria-labelledby="keys">
        <h2 id="keys">Keys</h2>
        <p>
          Ctrl and K, or “What can I do here?” at the top, finds every action by a word.{" "}
          <a href="/help/keys">Keys and actions</a> has all of them in a table, to be changed and printed.
        </p>
        <dl class="words">
          {KEYS.map(([keys, what]) => (
            <div key={keys}>
              <dt>
                <kbd>{keys}</kbd>
              </dt>
              <dd>{what}</dd>
            </div>
          ))}
        </dl>
      </section>
    </Page>
  );
}

const KEYS = [
  ["Tab", "goes on to the next thing that can be used; with Shift back again. The first one skips to the main part."],
  ["Enter", "opens a link, presses a button, writes a form."],
  ["Space", "presses a button, ticks a box, folds a part out or in."],
  ["Arrow keys", "choose among the options of a setting, and walk inside a drawing of a recording."],
  ["+  −  0", "in a drawing of a recording: closer, wider, all of it."],
  ["Backspace", "in a drawing of a recording: back to what was shown before."],
  ["Letters", "act in a drawing of a recording that has the focus, and nowhere else; they can be turned off."],
  ["Escape", "closes what was opened on a wheel line, and a card that is being edited, without writing."],
] as const;
