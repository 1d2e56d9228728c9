import type { JSX } from "preact";
import { serialPorts } from "../calls/receivers.ts";
import { useLoaded } from "../loaded.ts";
import { TextField } from "./Fields.tsx";
import { ProblemNote } from "./ProblemNote.tsx";

interface SerialBoxesProps {
  /** What is plugged in, such as `receiver`. */
  readonly device: string;
  readonly box: (key: "path" | "baudRate") => {
    value: string;
    wrong: string | undefined;
    onInput: (text: string) => void;
  };
}

/** Which serial port, and how fast it speaks. */
export function SerialBoxes({ box, device }: SerialBoxesProps): JSX.Element {
  const ports = useLoaded("serial ports", serialPorts);
  const path = box("path");
  const listed = ports.state === "there" ? ports.value : [];
  return (
    <>
      {ports.state === "failed" && <ProblemNote problem={ports.problem} again={ports.reload} />}
      {listed.length > 0 && (
        <fieldset class="ports">
          <legend>Ports that are there</legend>
          {listed.map((port) => (
            <button
              key={port.path}
              type="button"
              class="button"
              aria-pressed={port.path === path.value}
              onClick={() => path.onInput(port.path)}
            >
              {port.name}
            </button>
          ))}
        </fieldset>
      )}
      {ports.state === "there" && listed.length === 0 && (
        <p>
          No serial port is there. Plug the {device} in, or type the path of its port.{" "}
          <button type="button" class="button" onClick={ports.reload}>
            Look again
          </button>
        </p>
      )}
      <TextField label="Path of the port" fixedWidth options={listed.map((port) => port.path)} {...path} />
      <TextField label="Rate" unit="baud" numeric options={RATES} {...box("baudRate")} />
    </>
  );
}

const RATES = ["9600", "19200", "38400", "57600", "115200", "230400", "460800", "921600"];
