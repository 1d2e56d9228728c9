/** A folder below the folder in-place, or one file in it, as something to choose. */
export interface InPlaceChoice {
  readonly path: string;
  readonly words: string;
  readonly files: number;
}

/** The folders with the number of files in and below each, then the files that lie in none. */
export function inPlaceChoices(paths: readonly string[]): readonly InPlaceChoice[] {
  const folders = new Map<string, number>();
  for (const path of paths) {
    const parts = path.split("/").slice(0, -1);
    for (let deep = 1; deep <= parts.length; deep++) {
      const folder = parts.slice(0, deep).join("/");
      folders.set(folder, (folders.get(folder) ?? 0) + 1);
    }
  }
  const named = [...folders].toSorted(([a], [b]) => (a < b ? -1 : 1));
  return [
    ...named.map(([path, files]) => ({
      path,
      files,
      words: `folder ${path}, ${files} ${files === 1 ? "file" : "files"}`,
    })),
    ...paths.filter((path) => !path.includes("/")).map((path) => ({ path, files: 1, words: path })),
  ];
}
