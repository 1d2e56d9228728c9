import type { JSX } from "preact";
import { useContext, useState } from "preact/hooks";
import type { Problem } from "../api.ts";
import { removeSamples } from "../calls/jobs.ts";
import { SettingsContext } from "../device.ts";
import { Ask } from "../views/Ask.tsx";
import { Choice } from "../views/Fields.tsx";
import { Page } from "../views/Page.tsx";
import { ProblemNote } from "../views/ProblemNote.tsx";
import { KeepingSection } from "./KeepingSection.tsx";

/** Looks and units of this device, and the samples of the house. */
export function SettingsPage(): JSX.Element {
  const { settings, change } = useContext(SettingsContext);
  return (
    <Page
      title="Settings"
      lead="Looks and units are kept on this device alone. They change what is shown, never what is stored."
    >
      <div class="choices">
        <Choice
          legend="Look"
          value={settings.theme}
          onChange={(theme) => change({ theme })}
          options={[
            ["device", "As the device"],
            ["paper", "Paper"],
            ["night", "Night bay"],
            ["sunlight", "Sunlight"],
          ]}
        />
        <Choice
          legend="Size"
          value={settings.density}
          onChange={(density) => change({ density })}
          options={[
            ["desk", "Desk"],
            ["bay", "Bay: large, for gloves"],
          ]}
        />
        <Choice
          legend="Pressure"
          value={settings.pressure}
          onChange={(pressure) => change({ pressure })}
          options={[
            ["kPa", "kPa"],
            ["psi", "psi"],
            ["bar", "bar"],
          ]}
        />
        <Choice
          legend="Temperature"
          value={settings.temperature}
          onChange={(temperature) => change({ temperature })}
          options={[
            ["degC", "°C"],
            ["degF", "°F"],
          ]}
        />
      </div>
      <section aria-labelledby="keys">
        <h2 id="keys">Keys</h2>
        <p>
          Which key does what is kept on this device, too. <a href="/help/keys">Change keys, or turn single keys off</a>
          .
        </p>
      </section>
      <section aria-labelledby="devices">
        <h2 id="devices">Devices</h2>
        <p>
          Tablets of the shop can come in over the network, each by a code.{" "}
          <a href="/devices">See which may, let one in or go</a>.
        </p>
      </section>
      <KeepingSection />
      <Samples />
    </Page>
  );
}

type Removal = "idle" | "asking" | "removing" | "removed" | Problem;

function Samples(): JSX.Element {
  const [removal, setRemoval] = useState<Removal>("idle");
  const remove = async () => {
    setRemoval("removing");
    const answer = await removeSamples();
    setRemoval(answer.ok ? "removed" : answer.problem);
  };
  return (
    <section aria-labelledby="samples">
      <h2 id="samples">Samples</h2>
      {typeof removal === "object" && <ProblemNote problem={removal} again={() => void remove()} />}
      {removal === "removed" ? (
        <p role="status">All samples are removed. They do not come back at the next start.</p>
      ) : (
        <p>
          The recordings, the job and the lot that came with the house. They go in one step; nothing else goes with
          them.
        </p>
      )}
      {removal === "idle" && (
        <button type="button" class="button" onClick={() => setRemoval("asking")}>
          Remove all samples
        </button>
      )}
      {(removal === "asking" || removal === "removing") && (
        <Ask
          question="Remove every sample recording, the sample job and the sample lot? They cannot be brought back from here."
          yes="Remove them"
          no="Keep them"
          busy={removal === "removing"}
          onYes={() => void remove()}
          onNo={() => setRemoval("idle")}
        />
      )}
    </section>
  );
}
