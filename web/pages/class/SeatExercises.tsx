import type { JSX } from "preact";
import type { SeatBody } from "../../../server/http/wire/lessons.ts";
import type { CellShape } from "../../model/class/boardWords.ts";
import { CellMark } from "../../views/class/CellMark.tsx";

type Exercise = SeatBody["exercises"][number];

/** The exercises of a lesson in their order, with how far this seat came. */
export function SeatExercises({ exercises }: { readonly exercises: readonly Exercise[] }): JSX.Element {
  return (
    <ol class="seat-exercises">
      {exercises.map((exercise) => (
        <li key={exercise.id}>
          <a href={`/class/seat#${exercise.id}`}>
            <CellMark shape={shapeOf(exercise)} />
            <span class="row-title">{exercise.title}</span>
            <span class="row-sub">
              {shapeOf(exercise)}
              {exercise.tries > 0 && `, ${exercise.tries === 1 ? "1 try" : `${exercise.tries} tries`}`}
              {exercise.revealed && exercise.state !== "told" && ", answer is shown"}
            </span>
          </a>
        </li>
      ))}
    </ol>
  );
}

function shapeOf({ state }: Exercise): CellShape {
  return state === "told" ? "shown" : state;
}
