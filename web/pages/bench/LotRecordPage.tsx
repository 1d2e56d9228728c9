import type { JSX } from "preact";
import { lotFiles } from "../../calls/lots.ts";
import { countsWords, lotTitle } from "../../model/bench/lotWords.ts";
import { addressOf } from "../../model/route.ts";
import { Page } from "../../views/Page.tsx";
import { Waiting } from "../../views/Waiting.tsx";
import { useLot } from "./useLot.ts";

/** The record of a lot to print, to file and to send on. */
export function LotRecordPage({ id }: { readonly id: string }): JSX.Element {
  const { loaded } = useLot(id);
  return (
    <Page
      title="Lot record"
      lead={
        <>
          Of <a href={addressOf({ page: "lot", id })}>lot {id}</a>
        </>
      }
    >
      <Waiting loaded={loaded} what={`lot ${id}`}>
        {(lot) => (
          <>
            <p class="finding">
              {lotTitle(lot)}: {countsWords(lot.counts)}.
            </p>
            <p>{lot.acceptance.because}</p>
            <RecordLinks id={id} />
          </>
        )}
      </Waiting>
    </Page>
  );
}

/** One page to read, and all of it for programs. */
export function RecordLinks({ id }: { readonly id: string }): JSX.Element {
  const files = lotFiles(id);
  return (
    <p class="form-foot">
      <a class="button main" href={files.pdf} download>
        Lot record as PDF
      </a>
      <a class="button" href={files.a4}>
        Lot record, A4
      </a>
      <a class="button" href={files.letter}>
        Lot record, Letter
      </a>
      <a class="button" href={files.csv} download>
        Save specimens as CSV
      </a>
      <a class="button" href={files.json} download>
        Save the lot as JSON
      </a>
    </p>
  );
}
