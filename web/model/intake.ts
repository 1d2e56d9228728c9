import { type EarlierBody, emptyWheel, type JobChangeBody, type JobInputBody } from "../../server/http/wire.ts";

type Visit = NonNullable<JobInputBody["visit"]>;
type Wheels = JobInputBody["wheels"];

/** What a lamp that behaves so means. @source 49 CFR 571.138, S4.2 and S4.4(c)(2). */
export const VISIT_MEANINGS: Readonly<Partial<Record<Visit, string>>> = {
  "lamp steady":
    "A lamp that is steady from the start means low pressure: a tyre is at or below the threshold, or was and the system was not reset.",
  "lamp flashing":
    "A lamp that flashes for about a minute (60 to 90 s) and then stays lit means a fault in the system: a sensor that is missing, silent or not registered, the receiver, or interference. It does so again at every ignition on.",
  "before tyre work":
    "Write down what works before a wheel is touched, and have it signed: what was dead before is then not yours.",
  rotation: "After a rotation the sensors are on other wheels: the vehicle may have to learn them anew.",
  "second set":
    "The second set has its own sensors: the vehicle holds their IDs, has to learn them, or has none at all.",
};

const POSITIONS_OF_KIND: Readonly<Record<JobInputBody["kind"], readonly string[]>> = {
  car: ["left front", "right front", "left rear", "right rear"],
  motorcycle: ["front", "rear"],
  "dual rear wheels": ["left front", "right front", "left rear", "left rear inner", "right rear inner", "right rear"],
  trailer: ["left rear", "right rear"],
};

/** The wheels that such a vehicle has; those on the card that fit, or have a sensor, stay as they are. */
export function wheelsOfKind(kind: JobInputBody["kind"], wheels: Wheels): Wheels {
  const positions = POSITIONS_OF_KIND[kind];
  const kept = positions.map((position) => wheels.find((one) => one.position === position) ?? emptyWheel(position));
  const worn = wheels.filter(
    ({ position, identity, handGaugeKpa }) =>
      !positions.includes(position) && (identity !== null || handGaugeKpa !== null),
  );
  return [...kept, ...worn];
}

/** What an earlier card says and this one does not, as a change; a wheel's sensor only where the plate is the same. */
export function offered({ same, card }: EarlierBody, job: JobInputBody): JobChangeBody {
  const change: { -readonly [Key in keyof JobChangeBody]: JobChangeBody[Key] } = {};
  for (const key of ["vehicle", "tyreType", "expectedLayout", "vehicleNotes"] as const) {
    if (job[key] === "" && card[key] !== "") change[key] = card[key];
  }
  for (const key of ["placardFrontKpa", "placardRearKpa", "placardSpareKpa", "expectedCarrierHz"] as const) {
    if (job[key] === null && card[key] !== null) change[key] = card[key];
  }
  if (job.placardUnit === null && card.placardUnit !== null) change.placardUnit = card.placardUnit;
  if (job.kind === "car" && card.kind !== "car") change.kind = card.kind;
  if (same === "plate" && job.vehicleList === "" && card.vehicleList !== "") change.vehicleList = card.vehicleList;
  return change;
}
