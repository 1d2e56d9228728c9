import { createHash } from "node:crypto";

/** Shares of the receivers; a worker decodes whole ones, so that each receiver has one at a time. Never to be changed. */
export const PARTITIONS = 64;

/** @returns 0 to 63, always the same for the same receiver. */
export function partitionOf(receiverId: string): number {
  return (createHash("sha256").update(receiverId).digest()[0] ?? 0) % PARTITIONS;
}

/** Such as 07. */
export function partitionName(partition: number): string {
  return String(partition).padStart(2, "0");
}

/** Where a receiver's lines go. */
export function lineSubject(receiverId: string): string {
  if (!/^[\w-]+$/.test(receiverId)) throw new RangeError(`no id of a receiver: ${receiverId}`);
  return `wheelgram.lines.${partitionName(partitionOf(receiverId))}.${receiverId}`;
}

/** Of all receivers of a partition. */
export function partitionSubject(partition: number): string {
  return `wheelgram.lines.${partitionName(partition)}.*`;
}

/** The receiver that a subject is of. */
export function receiverOf(subject: string): string {
  return subject.slice(subject.lastIndexOf(".") + 1);
}

/** Of the store: how far a partition is stored. */
export function partitionSetting(partition: number): string {
  return `fleet lines ${partitionName(partition)}`;
}
