import type { ComponentChildren, JSX } from "preact";
import { Empty, type EmptyProps } from "./Empty.tsx";

export interface Column<T> {
  readonly name: string;
  readonly cell: (row: T) => ComponentChildren;
  /** Figures stand at the right, so that their decimals are below each other. */
  readonly figures?: boolean;
}

interface TableProps<T> {
  readonly caption: string;
  readonly columns: readonly Column<T>[];
  readonly rows: readonly T[];
  readonly keyOf: (row: T) => string;
  readonly empty: EmptyProps;
}

/**
 * A table that is never empty without a sentence and one action. On a narrow page its cells stand below each other, each
 * with the name of its column; the roles are written out, since browsers forget them when cells become blocks.
 */
export function Table<T>({ caption, columns, rows, keyOf, empty }: TableProps<T>): JSX.Element {
  if (rows.length === 0) return <Empty {...empty} />;
  return (
    // biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it
    <table class="table" role="table">
      <caption>{caption}</caption>
      {/* biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it */}
      <thead role="rowgroup">
        {/* biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it */}
        <tr role="row">
          {columns.map(({ name, figures }) => (
            // biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it
            <th key={name} scope="col" role="columnheader" class={figures ? "figures" : ""}>
              {name}
            </th>
          ))}
        </tr>
      </thead>
      {/* biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it */}
      <tbody role="rowgroup">
        {rows.map((row) => (
          // biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it
          <tr key={keyOf(row)} role="row">
            {columns.map(({ name, cell, figures }) => (
              // biome-ignore lint/a11y/noRedundantRoles: lost in the narrow form without it
              <td key={name} role="cell" data-name={name} class={figures ? "figures" : ""}>
                <div>{cell(row)}</div>
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}
