import type { JSX } from "preact";
import type { LessonBody } from "../../../server/http/wire/lessons.ts";
import { CELL_SHAPES, cellWords, inColumns, SHAPE_MEANS } from "../../model/class/boardWords.ts";
import type { Projector } from "../../model/class/projector.ts";
import { CellMark } from "../../views/class/CellMark.tsx";
import { useWidth } from "../../views/useWidth.ts";

type Row = LessonBody["board"][number];

/** Of the column of numbers, and the least of one exercise, at the smallest size. */
const NUMBER_PX = 64;
const CELL_PX = 112;
const TIMES: Readonly<Record<Projector["size"], number>> = { A: 1, "A+": 1.45, "A++": 1.9 };

/** Seats by number, exercises across; as many tables side by side as the wall has room for. */
export function BoardGrid({ now, size }: { readonly now: LessonBody } & Pick<Projector, "size">): JSX.Element {
  const [box, widthPx] = useWidth();
  const fit = Math.floor(widthPx / (NUMBER_PX + CELL_PX * now.exercises.length) / TIMES[size]);
  return (
    <section aria-labelledby="seats">
      <h2 id="seats">Seats</h2>
      <ul class="board-legend" aria-label="What the shapes mean">
        {CELL_SHAPES.map((shape) => (
          <li key={shape}>
            <CellMark shape={shape} /> <strong>{shape}</strong> {SHAPE_MEANS[shape]}
          </li>
        ))}
      </ul>
      <div class="board-tables" ref={box}>
        {now.board.length === 0 ? (
          <p class="none">No seat is taken. The first phone that joins stands here.</p>
        ) : (
          inColumns(now.board, fit).map((rows) => <Seats key={rows[0]?.number} now={now} rows={rows} />)
        )}
      </div>
    </section>
  );
}

function Seats({ now, rows }: { readonly now: LessonBody; readonly rows: readonly Row[] }): JSX.Element {
  const [first, last] = [rows[0]?.number, rows.at(-1)?.number];
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: it scrolls sideways on a narrow page, and has to be reached by keys
    <section class="board-scroll" tabIndex={0} aria-label={`Seats ${first} to ${last}`}>
      <table class="board-grid">
        <caption class="heard-only">
          How far seats {first} to {last} came with each exercise
        </caption>
        <thead>
          <tr>
            <th scope="col">Seat</th>
            {now.exercises.map(({ id, title }) => (
              <th key={id} scope="col">
                {title}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map(({ number, cells }) => (
            <tr key={number}>
              <th scope="row">{number}</th>
              {cells.map((cell) => {
                const { shape, word, figures } = cellWords(cell);
                return (
                  <td key={cell.exercise} data-shape={shape}>
                    <span class="cell-state">
                      <CellMark shape={shape} /> {word}
                    </span>
                    {figures !== "" && <span class="cell-figures">{figures}</span>}
                  </td>
                );
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
