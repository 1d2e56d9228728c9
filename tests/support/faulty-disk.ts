import { spawnSync } from "node:child_process";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";

/** How a disk can behave; `well` is the usual way. */
export type DiskFault = "full" | "read-only" | "slow" | "well";

export interface FaultyDisk {
  /** For the process whose disk it is. */
  readonly env: Readonly<Record<string, string>>;
  readonly behave: (fault: DiskFault) => void;
  /** What was done, in order: `w N` line N written, `s` on disk, `a N` acknowledged up to N. */
  readonly done: () => readonly string[];
}

/** Whether it can be tried here: the loader of Linux and a compiler are needed. */
export const noFaultyDisk: string | undefined =
  process.platform !== "linux"
    ? "only Linux lets a library be put before a program"
    : process.env["CI"] === "true" || spawnSync("gcc", ["--version"]).status === 0
      ? undefined
      : "gcc is not installed, so no fault of the disk was tried";

/** A disk that does as it is told, for one process. @param folder Where its files go. */
export function faultyDisk(folder: string): FaultyDisk {
  const library = join(folder, "disk-faults.so");
  const source = join(import.meta.dirname, "disk-faults.c");
  const made = spawnSync("gcc", ["-shared", "-fPIC", "-O2", "-o", library, source, "-ldl", "-lpthread"]);
  if (made.status !== 0) throw new Error(`disk-faults.c was not compiled: ${made.stderr}`);
  const fault = join(folder, "fault");
  const log = join(folder, "log");
  return {
    env: { LD_PRELOAD: library, DISK_FAULT: fault, DISK_LOG: log },
    behave: (how) => (how === "well" ? rmSync(fault, { force: true }) : writeFileSync(fault, how)),
    done: () => readFileSync(log, "utf8").trimEnd().split("\n"),
  };
}
