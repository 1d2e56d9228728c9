import { render } from "preact";
import { App } from "./App.tsx";
import { openLive } from "./live.ts";
import { keepForOffline } from "./offline.ts";

const page = document.getElementById("page");
if (page) render(<App live={openLive()} />, page);
keepForOffline();
