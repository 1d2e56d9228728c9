import type { JSX } from "preact";
import type { FleetNow } from "../../model/fleetWords.ts";
import { clockWithSeconds } from "../../model/times.ts";
import { Mark } from "../../views/Mark.tsx";
import { Page } from "../../views/Page.tsx";
import { ProblemNote } from "../../views/ProblemNote.tsx";
import { AsideTable } from "./AsideTable.tsx";
import "./fleet.css";
import { MembersTable, ReceiversTable } from "./MembersTable.tsx";
import { NatsTables } from "./NatsTables.tsx";
import { Standing } from "./Standing.tsx";
import { useFleet } from "./useFleet.ts";

/** Several servers and workers as one: who is there, what waits, what was set aside. */
export function FleetPage(): JSX.Element {
  const { body, problem, look } = useFleet();
  return (
    <Page title="Fleet" lead="Several servers and workers that listen and decode as one.">
      {body === undefined && problem === undefined && <p class="waiting">Asking the server how the fleet stands …</p>}
      {problem && body === undefined && <ProblemNote problem={problem} again={look} />}
      {body?.fleet === null && <Alone />}
      {body?.fleet && <Fleet now={body.fleet} isOld={problem !== undefined} onChanged={look} />}
    </Page>
  );
}

interface FleetProps {
  readonly now: FleetNow;
  /** The server that this page came from does not answer any more. */
  readonly isOld: boolean;
  readonly onChanged: () => void;
}

function Fleet({ now, isOld, onChanged }: FleetProps): JSX.Element {
  return (
    <div class="fleet">
      {isOld && (
        <p role="alert">
          <Mark strength="look here" words="old" /> The server that this page comes from does not answer. Below stands
          how it was at {clockWithSeconds(now.at)}. Other servers of the fleet show the same page.
        </p>
      )}
      <Standing now={now} />
      <AsideTable now={now} onChanged={onChanged} />
      <MembersTable now={now} />
      <ReceiversTable now={now} />
      <NatsTables now={now} />
    </div>
  );
}

function Alone(): JSX.Element {
  return (
    <>
      <p>
        This server stands alone, and needs nothing else. A fleet is several servers, each with receivers of its own,
        and workers on other machines that decode for all of them; what is heard goes through three NATS servers, so
        that nothing is lost with a machine, and is kept in one PostgreSQL database. To start one, have NATS with
        JetStream and PostgreSQL run, then start each server with{" "}
        <code>wheelgram serve --fleet nats://HOST:4222 --store postgres://HOST/NAME</code> and each worker with{" "}
        <code>wheelgram work</code> and the same two addresses.
      </p>
      <p class="caption">Examples for containers and services lie in server/fleet/examples of the program's folder.</p>
    </>
  );
}
