import type { Complaint } from "../../decoders/layouts/complaint.ts";

/**
 * An input that cannot be read: which file, where in it, what stands there and what would be taken.
 *
 * An error, and not plain data, because a broken sample is found while the samples are already flowing: the iterator
 * that hands them out can only throw. `message` is one line, fit to be shown as it is.
 */
export class InputError extends Error {
  readonly file: string;
  /** A key's path such as `global.core:datatype`, or `byte 4096`. */
  readonly where: string;

  constructor(file: string, where: string, found: string, allowed: string) {
    super(`${printable(file)}: ${where}: found ${found}, allowed ${allowed}`);
    this.name = "InputError";
    this.file = file;
    this.where = where;
  }

  /** One that was told by another thread, of which only the sentence came. */
  static told(message: string): InputError {
    const error = new InputError("", "", "", "");
    error.message = message;
    return error;
  }
}

/** The first complaint about a file as an error; how many more there are is said. `complaints` is not empty. */
export function firstComplaint(file: string, complaints: readonly Complaint[]): InputError {
  const first = complaints[0] ?? { path: "", found: "something else", allowed: "what the contract lists" };
  const more = complaints.length > 1 ? ` (and ${complaints.length - 1} more like it)` : "";
  return new InputError(file, first.path || "the whole", first.found, first.allowed + more);
}

/** A failed file operation in words. Anything that is no file operation's failure is thrown on. */
export function fileError(file: string, error: unknown, allowed: string): InputError {
  if (error instanceof InputError) return error;
  // An AbortError has a code too, which is a number and no fault of a file.
  if (!(error instanceof Error) || !("code" in error) || typeof error.code !== "string") throw error;
  return new InputError(file, "file", FAULTS[error.code] ?? error.code, allowed);
}

/** A text in one line that cannot steer a terminal. */
export function printable(text: string): string {
  return text.replace(/[\p{Cc}\u2028\u2029]/gu, "?");
}

const FAULTS: Record<string, string> = {
  ENOENT: "no such file",
  ENOTDIR: "no such file",
  EACCES: "no right to open it",
  EPERM: "no right to open it",
  EISDIR: "a folder",
  ENAMETOOLONG: "a name that is too long",
  EROFS: "a disk that cannot be written to",
  ENOSPC: "no room left on the disk",
  ERR_INVALID_ARG_VALUE: "a name that no file can have",
};
