import { dirname, sep } from "node:path";

/** A sentence about a file, with the study's name of its folder in the place of where that lies on this machine. */
export function ownNames(sentence: string, path: string, name: string): string {
  const slash = name.lastIndexOf("/");
  const folder = dirname(path);
  const here = folder.endsWith(sep) ? folder : folder + sep;
  return sentence.replaceAll(here, () => name.slice(0, slash + 1));
}
