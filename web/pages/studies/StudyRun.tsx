import type { JSX } from "preact";
import type { StudyBody, StudyResultFileBody } from "../../../server/http/wire/studies.ts";
import { resultAddress, resultsAddress, studyManifest, studyResults, studyStatistics } from "../../calls/studies.ts";
import { useLoaded } from "../../loaded.ts";
import { sizeWords } from "../../model/recording/listWords.ts";
import { aboutFiles, isPlot, resultTables } from "../../model/study/resultWords.ts";
import { statisticsRows } from "../../model/study/statisticsRows.ts";
import { CopyButton } from "../../views/CopyButton.tsx";
import { LongText } from "../../views/LongText.tsx";
import { Table } from "../../views/Table.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { StudyPlot } from "./StudyPlot.tsx";

/** What a study came to, to be looked at and taken away. */
export function StudyRun({ study }: { readonly study: StudyBody }): JSX.Element {
  const { id, counts, citation } = study;
  const key = `${counts.done} ${counts.failed}`;
  const files = useLoaded(`results of ${id} ${key}`, () => studyResults(id));
  return (
    <Waiting loaded={files} what="the results">
      {(all) => {
        return (
          <>
            <section class="study-plots">
              <h2>What was heard, drawn</h2>
              {all
                .filter(({ name }) => isPlot(name))
                .map(({ name, sha256 }) => (
                  <StudyPlot key={`${name} ${sha256}`} id={id} name={name} version={sha256.slice(0, 12)} />
                ))}
            </section>
            <Statistics id={id} version={key} />
            <section class="study-take">
              <h2>Take it away</h2>
              <p class="form-foot">
                <a class="button main" href={resultsAddress(id)} download={`study-${id}.tar`}>
                  Save all results as one file
                </a>
              </p>
              <Files id={id} files={all} />
              <Manifest id={id} version={key} />
              {citation !== null && (
                <>
                  <h3>To cite it</h3>
                  <LongText label="The citation" text={citation} />
                  <CopyButton label="Copy the citation" text={() => citation} />
                </>
              )}
            </section>
          </>
        );
      }}
    </Waiting>
  );
}

interface FilesProps {
  readonly id: string;
  readonly files: readonly StudyResultFileBody[];
}

/** Each table in all its forms, then what stands beside them, then the drawings. */
function Files({ id, files }: FilesProps): JSX.Element {
  const names = files.map(({ name }) => name);
  const bytesOf = new Map(files.map(({ name, bytes }) => [name, bytes]));
  const link = (file: string, words: string) => (
    <>
      <a href={resultAddress(id, file)} download={file.replaceAll("/", "-")}>
        {words}
      </a>{" "}
      <span class="unit">{sizeWords(bytesOf.get(file) ?? 0)}</span>
    </>
  );
  return (
    <>
      <Table
        caption="Tables; times in UTC, decimal points, units in the names of the columns"
        rows={resultTables(names)}
        keyOf={({ name }) => name}
        empty={{ says: "There are no tables.", action: { label: "All studies", href: "/studies" } }}
        columns={[
          { name: "Table", cell: ({ name }) => name },
          { name: "What it has", cell: ({ says }) => says },
          {
            name: "Save it as",
            cell: ({ forms }) => (
              <span class="forms">
                {forms.map(({ words, file }) => (
                  <span key={file}>{link(file, words)}</span>
                ))}
              </span>
            ),
          },
        ]}
      />
      <h3>What they mean and where they come from</h3>
      <ul class="plain result-files">
        {aboutFiles(names).map(({ file, says }) => (
          <li key={file}>
            {link(file, file)} {says !== "" && `– ${says}`}
          </li>
        ))}
      </ul>
      <h3>Drawings, SVG</h3>
      <ul class="plain result-files">
        {names.filter(isPlot).map((file) => (
          <li key={file}>{link(file, file)}</li>
        ))}
      </ul>
    </>
  );
}

function Statistics({ id, version }: { readonly id: string; readonly version: string }): JSX.Element {
  const loaded = useLoaded(`statistics of ${id} ${version}`, () => studyStatistics(id));
  return (
    <section class="study-statistics">
      <h2>Success and errors in figures</h2>
      <Waiting loaded={loaded} what="the statistics">
        {(statistics) => (
          <Table
            caption="With the bounds within which each share lies with 95 % confidence"
            rows={statisticsRows(statistics)}
            keyOf={({ what }) => what}
            empty={{ says: "There are no figures.", action: { label: "All studies", href: "/studies" } }}
            columns={[
              { name: "Figure", cell: ({ what }) => what },
              { name: "Value", figures: true, cell: ({ value }) => value },
              { name: "Bounds", figures: true, cell: ({ bounds }) => bounds },
            ]}
          />
        )}
      </Waiting>
    </section>
  );
}

function Manifest({ id, version }: { readonly id: string; readonly version: string }): JSX.Element {
  const loaded = useLoaded(`manifest of ${id} ${version}`, () => studyManifest(id));
  return (
    <>
      <h3>The manifest: what went in, and what made it</h3>
      <Waiting loaded={loaded} what="the manifest">
        {(manifest) => {
          const text = JSON.stringify(manifest, undefined, 2);
          return (
            <>
              <details>
                <summary>Show the manifest</summary>
                <LongText label="The manifest" text={text} />
              </details>
              <CopyButton label="Copy the manifest" text={() => text} />
            </>
          );
        }}
      </Waiting>
    </>
  );
}
