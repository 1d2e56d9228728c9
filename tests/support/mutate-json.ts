/** Numbers that decide, one after the other, what is done; the same numbers do the same. */
export type Dice = () => number;

/** Numbers handed out in a row, and zeros after them. */
export function diceFrom(numbers: readonly number[]): Dice {
  let at = 0;
  return () => numbers[at++] ?? 0;
}

/**
 * The bytes of a JSON value with one to three things wrong in its keys and values, its bytes, or both: deleted keys,
 * other types, huge numbers, deep nesting, keys that reach for the prototype, flipped, lost and doubled bytes.
 */
export function mutatedJson(value: unknown, dice: Dice): Uint8Array {
  const root = { value: structuredClone(value) };
  const kind = dice() % 8;
  const changes = kind < 5 ? 1 + (dice() % 3) : kind === 5 ? 1 : 0;
  for (let i = 0; i < changes; i++) changeOnePlace(root, dice);
  const bytes = Buffer.from(JSON.stringify(root.value) ?? "");
  return kind < 5 ? bytes : changedBytes(bytes, dice);
}

function changeOnePlace(root: object, dice: Dice): void {
  const places = placesIn(root);
  const [owner, key] = places[dice() % places.length] ?? [root, "value"];
  const op = dice() % 6;
  if (op === 0) Reflect.deleteProperty(owner, key);
  else if (op === 1) setOwn(owner, `${key}_`, Reflect.get(owner, key));
  else if (op === 2)
    setOwn(owner, ["__proto__", "constructor", "toString", "hasOwnProperty"][dice() % 4]!, { polluted: 1 });
  else if (op === 3) {
    const [other, otherKey] = places[dice() % places.length] ?? [root, "value"];
    setOwn(owner, key, structuredClone(Reflect.get(other, otherKey)));
  } else if (op === 4) setOwn(owner, key, neighbourOf(Reflect.get(owner, key), dice));
  else setOwn(owner, key, oddValue(dice));
}

/** Every owner and key in a value, its own root's included. */
function placesIn(root: object): [object, string][] {
  const places: [object, string][] = [];
  const open: object[] = [root];
  for (let owner = open.pop(); owner; owner = open.pop()) {
    for (const key of Object.keys(owner)) {
      places.push([owner, key]);
      const inner: unknown = Reflect.get(owner, key);
      if (typeof inner === "object" && inner !== null) open.push(inner);
    }
  }
  return places;
}

/** Also for `__proto__`, which an assignment would take for something else. */
function setOwn(owner: object, key: string, value: unknown): void {
  if (Array.isArray(owner) && !/^\d+$/.test(key)) owner.push(value);
  else Object.defineProperty(owner, key, { value, enumerable: true, configurable: true, writable: true });
}

/** Almost the same value: the kind that may or may not be taken. */
function neighbourOf(value: unknown, dice: Dice): unknown {
  if (typeof value === "number") return [value + 1, value - 1, value * 2, -value, value + 0.5][dice() % 5];
  if (typeof value === "boolean") return !value;
  if (typeof value === "string")
    return [`${value}0`, value.slice(1), value.toUpperCase(), value.slice(0, -1)][dice() % 4];
  if (Array.isArray(value)) return [[], value.slice(1), [...value, ...value], value.toReversed()][dice() % 4];
  return value;
}

function oddValue(dice: Dice): unknown {
  const odd = [
    null,
    true,
    0,
    -1,
    1.5,
    1e308,
    -1e308,
    2 ** 53,
    2 ** 63,
    5e-324,
    "",
    "0x",
    "\u0000\u001b[31m\n\u2028",
    "x".repeat(5000),
    "__proto__",
    [],
    {},
    [[]],
    [null],
    Array.from({ length: 300 }, (_, i) => i),
    nested(99),
    nested(500),
  ];
  return odd[dice() % odd.length];
}

function nested(depth: number): unknown {
  let value: unknown = 1;
  for (let i = 0; i < depth; i++) value = i % 2 === 0 ? [value] : { a: value };
  return value;
}

function changedBytes(bytes: Buffer, dice: Dice): Uint8Array {
  const at = bytes.length === 0 ? 0 : dice() % bytes.length;
  const length = 1 + (dice() % 20);
  switch (dice() % 6) {
    case 0:
      return bytes.subarray(0, at);
    case 1:
      return Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + length)]);
    case 2:
      return Buffer.concat([bytes.subarray(0, at + length), bytes.subarray(at)]);
    case 3:
      return Buffer.concat([bytes.subarray(0, at), Buffer.from([dice() % 256]), bytes.subarray(at)]);
    default: {
      const copy = Buffer.from(bytes);
      if (copy.length > 0) copy[at] = (copy[at] ?? 0) ^ (1 << (dice() % 8));
      return copy;
    }
  }
}
