import { emptyWheel, type JobInputBody } from "../../server/http/wire.ts";

const POSITIONS = [
  "left front",
  "right front",
  "left rear outer",
  "left rear inner",
  "right rear inner",
  "right rear outer",
  "left third outer",
  "left third inner",
  "right third inner",
  "right third outer",
] as const;

/** What people may have put on a card at the end of a visit: every entry filled. */
export function fullVisit(more: Partial<JobInputBody> = {}): Partial<JobInputBody> {
  return {
    plate: "SAMPLE 7",
    vehicle: "Harbour van, long, with a spare under the floor",
    odometerKm: 48210,
    visit: "lamp steady",
    complaint:
      "The lamp came on by the bridge on Monday. All four tyres look right to me, and I put air in at the pump.",
    placardFrontKpa: 230,
    placardRearKpa: 250,
    placardSpareKpa: 420,
    placardUnit: "psi",
    tyreType: "load range E",
    ambientKpa: 98.4,
    codesBefore: "Code 12 stored, code 31 pending",
    codesAfter: "none",
    relearn: "by driving",
    lampOffBy: "R. Example",
    finding: "Right front soft, a screw in the tread. Its sensor did not answer after three wakes.",
    cause: "The screw let the air out over some days. The sensor's cell was flat as well.",
    done: "Tyre mended from inside, new sensor fitted, all tyres set to the placard, car taught by driving.",
    advised: "Come back in a week for a look at the wheel nuts. The other sensors are of the same age.",
    notChecked: "Brakes and steering were not looked at.",
    ...more,
  };
}

/** As long as a card takes them. */
export function longestWords(): Partial<JobInputBody> {
  const words = (first: string) =>
    `${first} ${"worn tread and a slow leak at the valve, ".repeat(60)}`.slice(0, 2000).trim();
  return {
    plate: "W".repeat(40),
    vehicle: "Very long vehicle name ".repeat(6).slice(0, 120).trim(),
    signedBefore: "A customer with a long name ".repeat(5).slice(0, 120).trim(),
    complaint: words("Complaint"),
    codesBefore: words("Before"),
    codesAfter: words("After"),
    lampOffBy: "A technician with a long name ".repeat(4).slice(0, 120).trim(),
    finding: words("Finding"),
    cause: words("Cause"),
    done: words("Done"),
    advised: words("Advised"),
    notChecked: words("Unchecked"),
  };
}

/** Wheels that are silent, each with a new sensor and a hand gauge. */
export function silentWheels(count: number): JobInputBody["wheels"] {
  return Array.from({ length: count }, (_, i) => ({
    ...emptyWheel(POSITIONS[i] ?? `trailer axle ${(i >> 2) + 1} wheel ${(i % 4) + 1}`, `7a${hex(i)}0011`),
    handGaugeKpa: 231 + i,
    replaced: { oldIdentity: `5b${hex(i)}0022`, blank: true, copied: true, at: "2026-11-25T09:30:00Z" },
  }));
}

function hex(i: number): string {
  return (0x10 + i).toString(16);
}
