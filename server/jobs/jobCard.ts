/** One wheel as the job card names it. */
export interface Wheel {
  /** Such as "left front". */
  readonly position: string;
  /** Of its sensor, lower-case hex; `null` until somebody gives it one. */
  readonly identity: string | null;
  /** What a hand gauge showed on it, gauge. */
  readonly handGaugeKpa: number | null;
  /** As it stands on the sensor, if somebody could read it. */
  readonly dateCode: string;
  /** A sensor that was put in at this visit; `null`: none was. */
  readonly replaced: Replaced | null;
}

/** A sensor put in at this visit. */
export interface Replaced {
  /** Of the one that was taken out; `null` where nobody knows. */
  readonly oldIdentity: string | null;
  /** A programmable blank that was not programmed yet. */
  readonly blank: boolean;
  /** Its identity was copied from the old one on purpose. */
  readonly copied: boolean;
  readonly at: string;
}

/** A wheel was woken: by the button of a page, or told by a receiver. */
export interface Wake {
  readonly position: string;
  readonly at: string;
}

/** Where a person wants a sensor that no wheel has. */
export interface Moved {
  readonly identity: string;
  readonly to: "this car" | "nearby";
}

/** What came of a step that was offered against a silence. */
export interface StepAnswer {
  /** The wheel it was about; `null`: the lamp. */
  readonly position: string | null;
  readonly step: string;
  readonly answer: string;
  readonly at: string;
}

/** What brings the car in. */
export type Visit = "lamp steady" | "lamp flashing" | "before tyre work" | "rotation" | "second set" | "other";
export type VehicleKind = "car" | "motorcycle" | "dual rear wheels" | "trailer";

/** What people put on a job card; the rest is worked out. */
export interface JobCard {
  // Take in
  readonly plate: string;
  readonly vehicle: string;
  readonly kind: VehicleKind;
  readonly odometerKm: number | null;
  readonly visit: Visit | null;
  /** Who signed the check before tyre work. */
  readonly signedBefore: string;
  /** In the customer's words. */
  readonly complaint: string;
  /** Cold pressures as the vehicle's placard gives them, gauge. */
  readonly placardFrontKpa: number | null;
  readonly placardRearKpa: number | null;
  readonly placardSpareKpa: number | null;
  /** The unit that they are written in. */
  readonly placardUnit: "kPa" | "psi" | "bar" | null;
  /** As the rule's table names it; empty: not known. */
  readonly tyreType: string;
  /** Absolute pressure of the air outside, from a barometer. */
  readonly ambientKpa: number | null;
  readonly ambientC: number | null;
  readonly altitudeM: number | null;
  /** Whether the car was driven in the last three hours. */
  readonly drivenLately: boolean | null;
  /** What the vehicle expects, where somebody knows. */
  readonly expectedCarrierHz: number | null;
  readonly expectedLayout: string;
  /** The identities that the vehicle holds, as they were typed. */
  readonly vehicleList: string;
  /** What the shop knows of such vehicles. */
  readonly vehicleNotes: string;
  // Listen and walk
  readonly wheels: readonly Wheel[];
  /** Positions in the order in which they are woken; empty: the usual one. */
  readonly walkOrder: readonly string[];
  readonly wakes: readonly Wake[];
  readonly moved: readonly Moved[];
  /** Receivers and recordings that this visit listens to. */
  readonly receiverIds: readonly string[];
  readonly recordingHashes: readonly string[];
  // Explain
  readonly answers: readonly StepAnswer[];
  /** Trouble codes as they were typed, before and after clearing. */
  readonly codesBefore: string;
  readonly codesAfter: string;
  // Put right and prove
  /** Kind of relearn; empty: not chosen. */
  readonly relearn: string;
  /** Identities that were read back from the vehicle, with their wheels. */
  readonly readBack: readonly { readonly position: string; readonly identity: string }[];
  /** What is heard from here on proves what was done. */
  readonly proofFrom: string | null;
  /** Who saw the lamp go off; empty: nobody. */
  readonly lampOffBy: string;
  // Hand over
  readonly finding: string;
  readonly cause: string;
  readonly done: string;
  readonly advised: string;
  readonly notChecked: string;
}

/** A card with nothing on it but the four wheels that most cars have. */
export function emptyJob(): JobCard {
  return {
    plate: "",
    vehicle: "",
    kind: "car",
    odometerKm: null,
    visit: null,
    signedBefore: "",
    complaint: "",
    placardFrontKpa: null,
    placardRearKpa: null,
    placardSpareKpa: null,
    placardUnit: null,
    tyreType: "",
    ambientKpa: null,
    ambientC: null,
    altitudeM: null,
    drivenLately: null,
    expectedCarrierHz: null,
    expectedLayout: "",
    vehicleList: "",
    vehicleNotes: "",
    wheels: ["left front", "right front", "left rear", "right rear"].map((position) => emptyWheel(position)),
    walkOrder: [],
    wakes: [],
    moved: [],
    receiverIds: [],
    recordingHashes: [],
    answers: [],
    codesBefore: "",
    codesAfter: "",
    relearn: "",
    readBack: [],
    proofFrom: null,
    lampOffBy: "",
    finding: "",
    cause: "",
    done: "",
    advised: "",
    notChecked: "",
  };
}

export function emptyWheel(position: string, identity: string | null = null): Wheel {
  return { position, identity, handGaugeKpa: null, dateCode: "", replaced: null };
}

/** A wheel's sensor ID as telegrams have it: typed from a label its letters may be big. */
export function identityOf({ identity }: { readonly identity: string | null }): string | undefined {
  return identity?.trim().toLowerCase();
}

/** The placard that holds for a wheel; `null` where none was entered, or the position does not tell which it is. */
export function placardOf(job: JobCard, position: string): number | null {
  const words = position.toLowerCase();
  if (words.includes("spare")) return job.placardSpareKpa;
  if (words.includes("front")) return job.placardFrontKpa;
  if (words.includes("rear")) return job.placardRearKpa;
  return null;
}
