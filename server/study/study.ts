import type { Layout } from "../../decoders/layouts/schema.ts";
import type { AnalysisRecord } from "../../decoders/records.ts";
import type { InputError } from "../recordings/inputError.ts";
import type { Result } from "../recordings/result.ts";
import type { StateCounts, StudyInput } from "./input.ts";
import type { StudyRunner } from "./runner.ts";
import type { LayoutAtHand, SettingsFile, StudySettings } from "./settings.ts";

/** A study: a folder on disk, which is all its state. */
export interface Study {
  readonly folder: string;
  readonly settings: StudySettings;
  /** As they were when it was frozen. */
  readonly layouts: readonly Layout[];
  /** All of them in their order, as they are now. */
  readonly inputs: () => readonly StudyInput[];
  readonly counts: () => StateCounts;
  /** The records of an input that is done, in their order. */
  readonly records: (index: number) => AsyncIterable<AnalysisRecord>;
  /** Whether there are results, made of all that is done now. */
  readonly hasResults: () => boolean;
  /**
   * Analyses what waits, and then writes the results. What is done is kept whenever it is aborted, or the process killed.
   * May be called again once it has settled.
   */
  readonly run: (options: RunOptions) => Promise<RunOutcome>;
  /** Lets another process have the folder. */
  readonly close: () => Promise<void>;
}

export interface RunOptions {
  readonly runner: StudyRunner;
  /** Once aborted, `run` settles within a second. */
  readonly signal: AbortSignal;
  /** What failed is tried again. */
  readonly retryFailed?: boolean;
  /** Called whenever an input's state, or the share done of one that runs, has changed. */
  readonly onChange?: (index: number) => void;
}

export interface RunOutcome {
  readonly interrupted: boolean;
  /** How many inputs this run has brought to `done` or `failed`. */
  readonly analysed: number;
}

export interface CreateOptions {
  /** Files and folders, in the order in which they are walked. */
  readonly sources: readonly string[];
  readonly settings: SettingsFile;
  /** The name of the settings' file, for complaints. */
  readonly settingsFile?: string;
  readonly layouts: readonly LayoutAtHand[];
  readonly toolVersion: string;
  readonly signal: AbortSignal;
  /** How far registering is. */
  readonly onRegister?: (standing: RegisterStanding) => void;
}

export interface RegisterStanding {
  readonly files: number;
  readonly ofFiles: number;
  readonly bytes: number;
  readonly ofBytes: number;
}

/** Declared first so that others can build on it. */
export declare function createStudy(folder: string, options: CreateOptions): Promise<Result<Study, InputError>>;
export declare function openStudy(folder: string, toolVersion: string): Promise<Result<Study, InputError>>;
