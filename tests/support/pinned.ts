import fc from "fast-check";
import { afterAll } from "vitest";
import { removeTemporaryFolders } from "./folder.ts";

// Every run draws the same cases; a failure prints the path that replays it alone.
fc.configureGlobal({ seed: 20261125 });

afterAll(removeTemporaryFolders);
