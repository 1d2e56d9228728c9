/** What went wrong, for the log: with the place in the program, without the names of files, which may hold a plate. */
export function logText(error: unknown): string {
  if (!(error instanceof Error)) return String(error);
  const paths = ["path", "dest"].map((key) => Reflect.get(error, key)).filter((path) => typeof path === "string");
  return paths.reduce((text, path) => text.replaceAll(path, "a file"), error.stack ?? error.message);
}
