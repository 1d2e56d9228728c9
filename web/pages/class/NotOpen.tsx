import type { JSX } from "preact";
import { Mark } from "../../views/Mark.tsx";

/** Why no phone can come in, and what to do about it. */
export function NotOpen({ open }: { readonly open: boolean }): JSX.Element {
  return (
    <div class="not-open">
      <p>
        <Mark strength="look here" words="Phones cannot come in yet" />
      </p>
      {open ? (
        <p>This computer has no address in a network. Join the network of the room, then look again.</p>
      ) : (
        <p>
          The server listens on this computer alone. End it and start it with{" "}
          <code>npm start -- --open-to-network</code>. Lessons go on where they were.
        </p>
      )}
    </div>
  );
}
