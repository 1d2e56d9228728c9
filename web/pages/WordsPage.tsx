import type { JSX } from "preact";
import { sentence } from "../../decoders/words.ts";
import { GLOSSARY } from "../model/glossary.ts";

import { Page } from "../views/Page.tsx";

export function WordsPage(): JSX.Element {
  return (
    <Page title="Words" lead="One word a thing, on these pages, in the files and on the command line.">
      {GLOSSARY.map(({ where, words }) => (
        <section key={where}>
          <h2>{sentence(where)}</h2>
          <dl class="words">
            {words.map(([word, meaning]) => (
              <div key={word}>
                <dt>{word}</dt>
                <dd>{meaning}</dd>
              </div>
            ))}
          </dl>
        </section>
      ))}
    </Page>
  );
}
