import { createPrivateKey, X509Certificate } from "node:crypto";
import { readFile, rename, writeFile } from "node:fs/promises";
import { isIP } from "node:net";
import { join } from "node:path";
import { generate } from "selfsigned";
import { fileError, InputError } from "../recordings/inputError.ts";

export interface Certificate {
  readonly cert: string;
  readonly key: string;
  /** SHA-256, of one that we made: nobody else vouches for it. */
  readonly fingerprint: string | undefined;
}

/** The shop's own certificate. @throws InputError for a file that cannot be read or is none, or a key that is of another. */
export async function readCertificate(certificateFile: string, keyFile: string): Promise<Certificate> {
  const read = (file: string, allowed: string) =>
    readFile(file, "utf8").catch((error: Error) => {
      throw new InputError(file, "the whole", error.message, allowed);
    });
  const cert = await read(certificateFile, "a certificate in PEM");
  const key = await read(keyFile, "its private key in PEM");
  try {
    const isOfIt = new X509Certificate(cert).checkPrivateKey(createPrivateKey(key));
    if (!isOfIt)
      throw new InputError(keyFile, "the whole", "the key of another certificate", `that of ${certificateFile}`);
  } catch (error) {
    if (error instanceof InputError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    throw new InputError(
      certificateFile,
      "the whole",
      reason,
      "a certificate and its key in PEM, the key without a password",
    );
  }
  return { cert, key, fingerprint: undefined };
}

const YEARS = 2;
/** A new one is made so long before the old one runs out. */
const SPARE_MS = 14 * 24 * 3600_000;

/**
 * A certificate of our own for these names and addresses, kept in the folder and made anew when they change or it is
 * about to run out. A browser asks whether to trust it, since nobody else vouches for it.
 */
export async function ownCertificate(folder: string, names: readonly string[], now: number): Promise<Certificate> {
  const file = join(folder, "certificate.pem");
  const kept = await readFile(file, "utf8").catch(() => ""); // what cannot be read is made anew
  const [, cert, key] = /^(-----BEGIN CERTIFICATE-----[\s\S]+?-----END CERTIFICATE-----\n)([\s\S]+)$/.exec(kept) ?? [];
  if (cert !== undefined && key !== undefined && isGood(cert, key, names, now)) return own(cert, key);
  const made = await generate([{ name: "commonName", value: "Wheelgram" }], {
    keyType: "ec",
    curve: "P-256",
    algorithm: "sha256",
    notBeforeDate: new Date(now - 24 * 3600_000),
    notAfterDate: new Date(now + YEARS * 365 * 24 * 3600_000),
    extensions: [
      { name: "basicConstraints", cA: false },
      { name: "keyUsage", digitalSignature: true },
      { name: "extKeyUsage", serverAuth: true },
      {
        name: "subjectAltName",
        altNames: names.map((name) =>
          isIP(name) ? { type: 7 as const, ip: name } : { type: 2 as const, value: name },
        ),
      },
    ],
  });
  const madeCert = `${made.cert.trim()}\n`;
  try {
    await writeFile(`${file}.part`, madeCert + made.private, { mode: 0o600 });
    await rename(`${file}.part`, file);
  } catch (error) {
    throw fileError(file, error, "a folder that takes a certificate of our own");
  }
  return own(madeCert, made.private);
}

/** One that was damaged on the disk is not. */
function isGood(cert: string, key: string, names: readonly string[], now: number): boolean {
  let certificate: X509Certificate;
  try {
    certificate = new X509Certificate(cert);
    if (!certificate.checkPrivateKey(createPrivateKey(key))) return false;
  } catch {
    return false;
  }
  if (Date.parse(certificate.validTo) - now < SPARE_MS) return false;
  return names.every((name) => (isIP(name) ? certificate.checkIP(name) : certificate.checkHost(name)) !== undefined);
}

function own(cert: string, key: string): Certificate {
  return { cert, key, fingerprint: new X509Certificate(cert).fingerprint256 };
}
