/** One wheel as the job card names it. */
export interface Wheel {
  /** Such as "left front". */
  readonly position: string;
  /** Of its sensor, lower-case hex; `null` until somebody gives it one. */
  readonly identity: string | null;
}

/** What people put on a job card; the rest is worked out. */
export interface JobCard {
  readonly plate: string;
  readonly vehicle: string;
  readonly odometerKm: number | null;
  /** In the customer's words. */
  readonly complaint: string;
  /** Cold pressures as the vehicle's placard gives them, gauge. */
  readonly placardFrontKpa: number | null;
  readonly placardRearKpa: number | null;
  readonly placardSpareKpa: number | null;
  /** Absolute pressure of the air outside, from a barometer. */
  readonly ambientKpa: number | null;
  readonly wheels: readonly Wheel[];
  /** Receivers and recordings that this visit listens to. */
  readonly receiverIds: readonly string[];
  readonly recordingHashes: readonly string[];
}

/** A card with nothing on it but the four wheels that most cars have. */
export function emptyJob(): JobCard {
  return {
    plate: "",
    vehicle: "",
    odometerKm: null,
    complaint: "",
    placardFrontKpa: null,
    placardRearKpa: null,
    placardSpareKpa: null,
    ambientKpa: null,
    wheels: ["left front", "right front", "left rear", "right rear"].map((position) => ({ position, identity: null })),
    receiverIds: [],
    recordingHashes: [],
  };
}

/** The placard that holds for a wheel; `null` where none was entered, or the position does not tell which it is. */
export function placardOf(job: JobCard, position: string): number | null {
  const words = position.toLowerCase();
  if (words.includes("spare")) return job.placardSpareKpa;
  if (words.includes("front")) return job.placardFrontKpa;
  if (words.includes("rear")) return job.placardRearKpa;
  return null;
}
