import type { JSX } from "preact";
import type { Route } from "../../model/route.ts";
import { ClassPage } from "./ClassPage.tsx";
import { EditorPage } from "./EditorPage.tsx";
import { ExercisePage } from "./ExercisePage.tsx";
import { ExerciseSetPage } from "./ExerciseSetPage.tsx";
import "./class.css";

type StudyRoute = Extract<Route, { readonly page: "class" | "exerciseSet" | "exercise" | "exerciseEditor" }>;

/** Sets, exercises and their editor, fetched together when one of them is opened. */
export function Study({ route }: { readonly route: StudyRoute }): JSX.Element {
  switch (route.page) {
    case "class":
      return <ClassPage />;
    case "exerciseSet":
      return <ExerciseSetPage key={route.id} id={route.id} />;
    case "exercise":
      return <ExercisePage key={`${route.set} ${route.id}`} set={route.set} id={route.id} />;
    case "exerciseEditor":
      return <EditorPage key={route.id} id={route.id} />;
  }
}
