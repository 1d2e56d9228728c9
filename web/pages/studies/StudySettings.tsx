import type { JSX } from "preact";
import type { StudyBody } from "../../../server/http/wire/studies.ts";
import { CopyButton } from "../../views/CopyButton.tsx";
import { LongText } from "../../views/LongText.tsx";

/** The settings as they were frozen, every default written out. */
export function StudySettings({ study: { settings } }: { readonly study: StudyBody }): JSX.Element | null {
  if (settings === null) return null;
  const text = JSON.stringify(settings, undefined, 2);
  return (
    <section class="study-settings">
      <h2>Its settings are frozen</h2>
      <p>
        Every setting that there is, also those that were left as they come. With this file another study is made in the
        same way.
      </p>
      <details>
        <summary>Show the settings</summary>
        <LongText label="The settings" text={text} />
      </details>
      <CopyButton label="Copy the settings" text={() => text} />
    </section>
  );
}
