/** What a wheel said before the work, and whether it was heard after it. */
export interface ProofReading {
  readonly position: string;
  /** Whether it was heard before. */
  readonly heard: boolean;
  /** The newest before; `null` where it was not heard or told none. */
  readonly gaugeKpa: number | null;
  readonly heardAfter: boolean;
}
