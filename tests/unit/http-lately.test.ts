import { expect, it } from "vitest";
import { createLately } from "../../server/http/lately.ts";

function counting() {
  const lately = createLately<string>(2);
  const worked: string[] = [];
  const get = (name: string, ...marks: unknown[]) =>
    lately.get(name, marks, async () => {
      worked.push(name);
      return `${name} ${worked.length}`;
    });
  return { get, worked };
}

it("is worked out once while nothing changed, also for those who ask meanwhile", async () => {
  const { get, worked } = counting();
  expect(await Promise.all([get("a", 1, "x"), get("a", 1, "x")])).toEqual(["a 1", "a 1"]);
  expect(await get("a", 1, "x")).toBe("a 1");
  expect(await get("a", 2, "x")).toBe("a 2");
  expect(await get("a", 1, "x")).toBe("a 3");
  expect(worked).toHaveLength(3);
});

it("holds no more names than it may, those that were asked for last", async () => {
  const { get, worked } = counting();
  for (const name of ["a", "b", "a", "c", "a", "b"]) await get(name, 1);
  expect(worked).toEqual(["a", "b", "c", "b"]);
});

it("does not keep what failed", async () => {
  const lately = createLately<number>(2);
  await expect(lately.get("a", [1], () => Promise.reject(new Error("no")))).rejects.toThrow("no");
  expect(await lately.get("a", [1], async () => 7)).toBe(7);
});
