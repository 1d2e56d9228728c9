import fc from "fast-check";
import { expect, it } from "vitest";
import { troubleCodes } from "../../server/jobs/troubleCodes.ts";

it("codes before and after clearing are kept as typed and told apart", () => {
  expect(troubleCodes("c0750, C0775\nC2171/71", "C0750; U0100 u0100")).toEqual({
    inBoth: ["c0750"],
    added: ["U0100"],
    gone: ["C0775", "C2171/71"],
    says: "Still there: c0750. New: U0100. Gone: C0775, C2171/71. For their meaning see the maker's manual.",
  });
  expect(troubleCodes("", " ").says).toBe("No codes were entered.");
});

it("no meaning is printed, whatever the code", () => {
  const code = fc.tuple(fc.constantFrom("B", "C", "P", "U"), fc.integer({ min: 0, max: 9999 }));
  const codes = fc.uniqueArray(code.map(([letter, number]) => `${letter}${String(number).padStart(4, "0")}`));
  fc.assert(
    fc.property(codes, codes, (before, after) => {
      const { says } = troubleCodes(before.join(" "), after.join(" "));
      const rest = [...before, ...after].reduce((text, one) => text.replaceAll(one, ""), says);
      const own = /Still there|New|Gone|For their meaning see the maker's manual|No codes were entered|[:.,\s]/g;
      expect(rest.replace(own, "")).toBe("");
    }),
  );
});
