import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { LessonBody } from "../../../server/http/wire/lessons.ts";
import { addressInWords, codeInGroups } from "../../model/class/boardWords.ts";
import { PickOne } from "../../views/Fields.tsx";
import { QrCode } from "../../views/QrCode.tsx";
import { NotOpen } from "./NotOpen.tsx";

/** How a phone comes in, to be read from the last row. */
export function JoinBox({ now }: { readonly now: LessonBody }): JSX.Element {
  const [chosen, setChosen] = useState<string>();
  const { addresses } = now;
  const address = addresses.find((one) => one === chosen) ?? addresses[0];
  return (
    <section class="join-box" aria-labelledby="join">
      {address !== undefined && (
        <QrCode text={address} label="Address of this lesson with its code, to be read by a camera" />
      )}
      <div class="join-words">
        <h2 id="join">Join with your phone</h2>
        <p>
          The code is <strong class="join-code">{codeInGroups(now.code)}</strong>
        </p>
        {address === undefined ? (
          <NotOpen open={now.open} />
        ) : (
          <p>
            Point the camera at the square. Or open <strong class="address">{addressInWords(address)}</strong> and type
            the code. No account, no name: a seat has a number.
          </p>
        )}
        {addresses.length > 1 && address !== undefined && (
          <PickOne
            label="If phones do not find it: another name of this computer"
            value={address}
            options={addresses.map((one) => [one, new URL(one).host] as const)}
            onChange={setChosen}
          />
        )}
      </div>
    </section>
  );
}
