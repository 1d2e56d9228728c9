import { afterAll } from "vitest";
import { removeTemporaryFolders } from "./folder.ts";

// For tests that run in Node; those of the pages have no files.
afterAll(removeTemporaryFolders);
