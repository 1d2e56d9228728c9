import { createHash, randomBytes, timingSafeEqual } from "node:crypto";

/** A secret of so many bytes by chance, as text that fits into an address. */
export function newSecret(byteCount: number): string {
  return randomBytes(byteCount).toString("base64url");
}

/** SHA-256 in hex: what is kept of a secret. One of 128 random bits or more needs neither salt nor a slow hash. */
export function hashOfSecret(secret: string): string {
  return createHash("sha256").update(secret).digest("hex");
}

/** Takes as long for one that is nearly right as for any other. */
export function isSecret(said: string, hash: string): boolean {
  return timingSafeEqual(Buffer.from(hashOfSecret(said), "hex"), Buffer.from(hash, "hex"));
}
