import type { JSX } from "preact";
import { identityGroups } from "../model/identity.ts";

interface IdentityProps {
  readonly value: string;
  readonly large?: boolean;
}

/** A sensor ID in groups of four, to be compared with a label. The gaps are drawn: what is copied has no spaces. */
export function Identity({ value, large = false }: IdentityProps): JSX.Element {
  return (
    <span class={large ? "identity identity-large" : "identity"}>
      {identityGroups(value).map((group, i) => (
        <span key={`${i} ${group}`}>{group}</span>
      ))}
    </span>
  );
}
