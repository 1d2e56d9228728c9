import { StoreError, type StoreErrorCode } from "./storeError.ts";

// What goes between the server and the thread of its store. Both are of the same build, so nothing is checked again.

export interface Call {
  readonly number: number;
  readonly method: string;
  readonly given: readonly unknown[];
}

export type FromStore =
  | { readonly kind: "open"; readonly methods: readonly string[] }
  | { readonly kind: "shut"; readonly fault: Fault }
  | { readonly kind: "done"; readonly number: number; readonly value: unknown }
  | { readonly kind: "failed"; readonly number: number; readonly fault: Fault };

/** An error without its class, which does not survive the way between two threads. */
export type Fault =
  | { readonly kind: "store"; readonly code: StoreErrorCode; readonly file: string; because: string; wayOut: string }
  | { readonly kind: "range" | "other"; readonly message: string; readonly stack: string | undefined };

export function faultOf(error: unknown): Fault {
  if (error instanceof StoreError) {
    const { code, file, because, wayOut } = error;
    return { kind: "store", code, file, because, wayOut };
  }
  const kind = error instanceof RangeError ? "range" : "other";
  const { message, stack } = error instanceof Error ? error : new Error(String(error));
  return { kind, message, stack };
}

export function errorFrom(fault: Fault): Error {
  if (fault.kind === "store") return new StoreError(fault.code, fault.file, fault.because, fault.wayOut);
  const error = fault.kind === "range" ? new RangeError(fault.message) : new Error(fault.message);
  if (fault.stack !== undefined) error.stack = fault.stack;
  return error;
}
