import type { JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import type { DeviceBody, NetworkBody, PairingBody } from "../../../server/http/wire/devices.ts";
import type { Problem } from "../../api.ts";
import { pairing } from "../../calls/devices.ts";
import { clockShown } from "../../model/times.ts";
import { PickOne } from "../../views/Fields.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { QrCode } from "../../views/QrCode.tsx";

interface LetInProps {
  readonly now: NetworkBody;
  readonly known: readonly DeviceBody[] | undefined;
  readonly onLook: () => void;
}

const LOOK_MS = 2000;

/** A square for a device's camera, that lets it in once. */
export function LetIn({ now, known, onLook }: LetInProps): JSX.Element {
  const [open, setOpen] = useState<{ readonly pairing: PairingBody; readonly before: ReadonlySet<string> }>();
  const [problem, setProblem] = useState<Problem>();
  const [chosen, setChosen] = useState<string>();
  const came = open && known?.find(({ id }) => !open.before.has(id));
  useEffect(() => {
    if (!open || came) return;
    const timer = setInterval(onLook, LOOK_MS);
    return () => clearInterval(timer);
  }, [open, came, onLook]);
  const begin = async () => {
    const answer = await pairing();
    setProblem(answer.ok ? undefined : answer.problem);
    if (answer.ok) setOpen({ pairing: answer.value, before: new Set(known?.map(({ id }) => id)) });
  };
  const addresses = open?.pairing.addresses ?? [];
  const address = addresses.find((one) => one === chosen) ?? addresses[0];
  return (
    <section class="let-in" aria-label="Let a device in">
      {problem && <ProblemNote problem={problem} />}
      {came && <p role="status">{came.name} came in.</p>}
      {open && !came && address !== undefined && (
        <>
          <p>
            Point the device's camera at this square, or open the address on it. It lets one device in, and runs out at{" "}
            {clockShown(new Date(open.pairing.expiresAt))}.
          </p>
          <QrCode text={address} label="Address with a code, to be read by a camera" />
          {addresses.length > 1 && (
            <PickOne
              label="If the device does not find it: another name of this computer"
              value={address}
              options={addresses.map((one) => [one, bare(one)] as const)}
              onChange={setChosen}
            />
          )}
          <p class="caption">
            <code class="address">{address}</code>
          </p>
          {now.secure && now.fingerprint !== null && (
            <p class="caption">The device warns of the certificate: go on all the same. It encrypts what is sent.</p>
          )}
        </>
      )}
      {open && addresses.length === 0 && <p>This computer is on no network, so no device finds it.</p>}
      <p>
        <button type="button" class="button main" onClick={() => void begin()}>
          {open === undefined ? "Let a device in" : "Let another device in"}
        </button>
      </p>
    </section>
  );
}

function bare(address: string): string {
  return new URL(address).host;
}
