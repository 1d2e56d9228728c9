/**
 * Where a key leads in a list that is one stop of the Tab key, kept inside of it; `undefined` where it means nothing here.
 *
 * @param last The last place, counted from 0.
 */
export function placeByKey(
  { key, ctrlKey, metaKey, altKey }: Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey">,
  at: number,
  last: number,
): number | undefined {
  const to = {
    ArrowLeft: at - 1,
    ArrowUp: at - 1,
    ArrowRight: at + 1,
    ArrowDown: at + 1,
    Home: 0,
    End: last,
  }[key];
  if (to === undefined || ctrlKey || metaKey || altKey) return undefined;
  return Math.min(last, Math.max(0, to));
}
