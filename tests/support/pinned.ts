import fc from "fast-check";

// Every run draws the same cases; a failure prints the path that replays it alone.
fc.configureGlobal({ seed: 20261125 });
