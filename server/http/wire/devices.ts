import { z } from "zod";

const name = z.string().trim().min(1).max(80);

/** A tablet or computer that was let in from the shop's network. */
export const DeviceBody = z.strictObject({
  id: z.string(),
  name: z.string(),
  addedAt: z.string(),
  /** To the hour. */
  seenAt: z.string().nullable(),
  expiresAt: z.string(),
});
export type DeviceBody = z.infer<typeof DeviceBody>;

/** Leave to come in, once. */
export const PairingBody = z.strictObject({
  /** 128 bits, as text that goes into the fragment of an address. */
  code: z.string(),
  expiresAt: z.string(),
  /** Addresses that open the page from the shop's network, each with the code in its fragment. */
  addresses: z.array(z.string()),
});
export type PairingBody = z.infer<typeof PairingBody>;

export const DeviceNewBody = z.strictObject({
  code: z.string().min(1).max(100),
  name,
  /** A program that keeps no cookies is told its key; a browser is not. */
  tellKey: z.boolean().optional(),
});

export const DeviceAddedBody = z.strictObject({
  device: DeviceBody,
  /** Only where it was asked for: it goes into the header Authorization, behind Bearer. */
  key: z.string().nullable(),
});
export type DeviceAddedBody = z.infer<typeof DeviceAddedBody>;

export const DeviceChangeBody = z.strictObject({ name });

/** Who may come in, as it stands for whoever asks. */
export const NetworkBody = z.strictObject({
  /** Whether the server listens beyond this computer. */
  open: z.boolean(),
  /** Whether whoever asks sits at the computer itself. */
  here: z.boolean(),
  /** What whoever asks from the network is known as. */
  device: DeviceBody.nullable(),
  deviceCount: z.int(),
  /** Whether the network is spoken with in HTTPS. */
  secure: z.boolean(),
  addresses: z.array(z.string()),
  /** SHA-256 of a certificate that this server made itself, to be compared with what the browser shows. */
  fingerprint: z.string().nullable(),
});
export type NetworkBody = z.infer<typeof NetworkBody>;
