/** What has the same key, in the order of its first appearance. */
export function grouped<T, Key>(all: readonly T[], keyOf: (one: T) => Key): ReadonlyMap<Key, readonly T[]> {
  const groups = new Map<Key, T[]>();
  for (const one of all) {
    const key = keyOf(one);
    const group = groups.get(key);
    if (group) group.push(one);
    else groups.set(key, [one]);
  }
  return groups;
}
