import { render } from "preact";
import { App } from "./App.tsx";
import { openLive, SILENT } from "./live.ts";
import { isOfASeat, routeOf } from "./model/route.ts";
import { keepForOffline } from "./offline.ts";

const page = document.getElementById("page");
// A student's phone may not listen, and nothing is kept on it.
const isSeat = isOfASeat(routeOf(location.pathname));
if (page) render(<App live={isSeat ? SILENT : openLive()} />, page);
if (!isSeat) keepForOffline();
