import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { ownCertificate } from "../../server/http/certificate.ts";
import { temporaryFolder } from "../support/folder.ts";

const NAMES = ["192.0.2.7", "bay.example"];
const DAY_MS = 24 * 3600_000;

it("a certificate of our own is kept until names change or it is about to run out, and made anew when it is damaged", async () => {
  const folder = temporaryFolder("certificate");
  const now = Date.now();
  const made = await ownCertificate(folder, NAMES, now);
  expect(await ownCertificate(folder, NAMES, now)).toEqual(made);
  const file = join(folder, "certificate.pem");
  const text = readFileSync(file, "utf8");
  const damaged = [
    text.slice(0, text.length / 2),
    text.replace(/\n(.)/, (_, first) => `\n${first === "A" ? "B" : "A"}`),
    text.replace(/PRIVATE KEY-----\n.{40}/, (begin) => begin.replace(/.{20}$/, "A".repeat(20))),
    "",
  ];
  for (const bytes of damaged) {
    expect(bytes).not.toBe(text);
    writeFileSync(file, bytes);
    const anew = await ownCertificate(folder, NAMES, now);
    expect(anew.fingerprint).toMatch(/^([0-9A-F]{2}:){31}/);
    expect(anew.fingerprint).not.toBe(made.fingerprint);
    expect(await ownCertificate(folder, NAMES, now)).toEqual(anew);
  }
  const kept = await ownCertificate(folder, NAMES, now);
  expect((await ownCertificate(folder, ["other.example"], now)).fingerprint).not.toBe(kept.fingerprint);
  const late = now + (2 * 365 - 10) * DAY_MS;
  expect((await ownCertificate(folder, ["other.example"], late)).fingerprint).not.toBe(kept.fingerprint);
});

it("where it cannot be kept, the file is named", async () => {
  await expect(ownCertificate("/proc/no-such-folder", NAMES, Date.now())).rejects.toThrow(/certificate\.pem/);
});
