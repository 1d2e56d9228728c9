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
/** Of one exercise where there are too many for words. */
const SHAPE_PX = 48;
const TIMES: Readonly<Record<Projector["size"], number>> = { A: 1, "A+": 1.45, "A++": 1.9 };

/** Seats by number, exercises across; as many tables side by side as the wall has room for. */
export function BoardGrid({ now, size }: { readonly now: LessonBody } & Pick<Projector, "size">): JSX.Element {
  const [box, widthPx] = useWidth();
  const fitting = (cellPx: number) => Math.floor(widthPx / (NUMBER_PX + cellPx * now.exercises.length) / TIMES[size]);
  const isNarrow = fitting(CELL_PX) === 0;
  const fit = fitting(isNarrow ? SHAPE_PX : CELL_PX);
  return (
    <section aria-labelledby="seats">
      <h2 id="seats">Seats</h2>
      <ul class="board-legend" aria-label="What the shapes mean">
        {CELL_SHAPES.map((shape) => (
          <li key={shape}>
            <CellMark shape={shape} /> <strong>{shape}</strong> {SHAPE_MEANS[shape]}
          </li>
        ))}
        {isNarrow && <li>The figure beside a shape counts tries. Exercises are numbered as in the list below.</li>}
      </ul>
      <div class="board-tables" ref={box}>
        {now.board.length === 0 ? (
          <p class="none">No seat is taken. The first phone that joins stands here.</p>
        ) : (
          inColumns(now.board, fit).map((rows) => (
            <Seats key={rows[0]?.number} now={now} rows={rows} isNarrow={isNarrow} />
          ))
        )}
      </div>
    </section>
  );
}

interface SeatsProps {
  readonly now: LessonBody;
  readonly rows: readonly Row[];
  /** Shapes and figures alone are seen; words are heard, and stand in the legend and in the list below. */
  readonly isNarrow: boolean;
}

function Seats({ now, rows, isNarrow }: SeatsProps): JSX.Element {
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
            {now.exercises.map(({ id, title }, i) => (
              <th key={id} scope="col" title={title}>
                {i + 1}. <span class={isNarrow ? "heard-only" : ""}>{title}</span>
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
                const heard = isNarrow ? "heard-only" : "";
                return (
                  <td key={cell.exercise} data-shape={shape}>
                    <span class="cell-state">
                      <CellMark shape={shape} /> <span class={heard}>{word}</span>
                      {isNarrow && cell.tries > 0 && <span aria-hidden="true">{cell.tries}</span>}
                    </span>
                    {figures !== "" && <span class={`cell-figures ${heard}`}>{figures}</span>}
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
