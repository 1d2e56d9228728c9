import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { spreadsheetDialect } from "../../server/http/csvDialect.ts";
import { type CsvCell, csvText } from "../../server/report/csv.ts";

const german = { separator: ";", decimalMark: ",", byteOrderMark: true, guardDigits: true } as const;

describe("CSV", () => {
  it("quotes what would break a row, and ends each with CR LF", () => {
    expect(csvText([["a", 'b "c"', "d,e", "f\ng", null, true]])).toBe('a,"b ""c""","d,e","f\ng",,true\r\n');
  });

  // The signs that OWASP ASVS 5.0, 1.2.10 names.
  it.each(["=", "+", "-", "@", "\t", "\r"])("guards text that begins with %j, and no number", (sign) => {
    expect(csvText([[`${sign}1`, -5]])).toMatch(/^"?'/);
    expect(csvText([[-5, 5e-7]])).toBe("-5,5e-7\r\n");
    expect(csvText([[-5.5]], german)).toBe("\uFEFF-5,5\r\n");
  });

  it("keeps a sensor ID of digits a text for a spreadsheet, and as it is for a program", () => {
    const ids: CsvCell[] = ["01234567", "1234e012", "3a51c0de"];
    expect(csvText([ids])).toBe("01234567,1234e012,3a51c0de\r\n");
    expect(csvText([ids], german)).toBe("\uFEFF'01234567;'1234e012;3a51c0de\r\n");
  });

  it("is read back as it was written, by the rules of RFC 4180", () => {
    const text = fc.string({ unit: "binary" }).filter((one) => !/^[=+\-@\t\r]/.test(one));
    fc.assert(
      fc.property(fc.array(fc.array(text, { minLength: 2, maxLength: 4 }), { minLength: 1 }), (rows) => {
        expect(read(csvText(rows))).toEqual(rows);
      }),
    );
  });
});

describe("the dialect of a spreadsheet", () => {
  it.each([
    [{ locale: "de-AT" }, ";", ","],
    [{ locale: "en-GB" }, ",", "."],
    [{ locale: "ar-EG" }, ",", "."],
    [{ decimal: "comma" }, ";", ","],
    [{ locale: "de", decimal: "point" }, ",", "."],
    [{ locale: "fr", separator: "tab" }, "\t", ","],
  ] as const)("for %j", (asked, separator, decimalMark) => {
    expect(spreadsheetDialect(asked)).toMatchObject({ separator, decimalMark, byteOrderMark: true });
  });

  it.each([{ locale: "not a language" }, { decimal: "comma", separator: "comma" }] as const)(
    "is none for %j",
    (asked) => {
      expect(spreadsheetDialect(asked)).toBeUndefined();
    },
  );
});

/** A reader of its own, sign by sign. @source RFC 4180, section 2. */
function read(csv: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = "";
  let quoted = false;
  for (let i = 0; i < csv.length; i++) {
    const sign = csv[i];
    if (quoted) {
      if (sign !== '"') cell += sign;
      else if (csv[i + 1] === '"') cell += csv[++i];
      else quoted = false;
    } else if (sign === '"') quoted = true;
    else if (sign === ",") {
      row.push(cell);
      cell = "";
    } else if (sign === "\r" && csv[i + 1] === "\n") {
      rows.push([...row, cell]);
      [row, cell] = [[], ""];
      i++;
    } else cell += sign;
  }
  return rows;
}
