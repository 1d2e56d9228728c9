export type StoreErrorCode =
  /** Made by a newer version of the store. */
  | "newer"
  /** Not a file of ours, though it can be read. */
  | "foreign"
  /** Bytes that no longer hold together. */
  | "damaged"
  /** Held by another program. */
  | "busy"
  /** No room on the disk. */
  | "full"
  /** It, or its folder, cannot be opened or written. */
  | "unreachable"
  | "closed";

/** Why nothing can be kept or read here: names the file, and the way out. */
export class StoreError extends Error {
  override readonly name = "StoreError";
  readonly code: StoreErrorCode;
  /** The file or folder it is about. */
  readonly file: string;
  readonly because: string;
  /** What somebody can do about it, as a sentence. */
  readonly wayOut: string;

  constructor(code: StoreErrorCode, file: string, because: string, wayOut: string, cause?: unknown) {
    super(`${file}: ${because}. ${wayOut}`, cause === undefined ? {} : { cause });
    this.code = code;
    this.file = file;
    this.because = because;
    this.wayOut = wayOut;
  }
}
