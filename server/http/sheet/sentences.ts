/**
 * Every sentence that the sheet says of itself, for a customer to read: a test holds each to reading grade 8 or below.
 * Those with a gap take wheels or other plain names, already joined.
 */
export const SENTENCES = {
  // In place of what nobody typed
  nothingTyped: "Nothing was typed here.",
  foundStop: (wheels: string) => `Stop: ${wheels}.`,
  foundLook: (wheels: string) => `Look here: ${wheels}.`,
  foundUnreadable: (wheels: string) => `Sends, but cannot be read: ${wheels}.`,
  foundSilent: (wheels: string) => `Not heard: ${wheels}.`,
  foundGood: (wheels: string) => `As it should be: ${wheels}.`,
  causeLow: (wheels: string) => `Low air: ${wheels}. The sensors do not say why.`,
  causeSilent: (wheels: string) => `No word from: ${wheels}. The sensors do not say why.`,
  causeLook: "See the notes beside the wheels.",
  causeNone: "The sensors show no cause.",
  causeNoneNow: "After the work the sensors show no cause.",
  doneReplaced: (wheels: string) => `New sensor fitted: ${wheels}.`,
  doneCopied: (wheels: string) => `The old sensor ID was copied on purpose: ${wheels}.`,
  doneBlank: (wheels: string) => `Not programmed yet: ${wheels}.`,
  doneListened: "We listened to the sensors and read what they said.",
  doneNothing: "No work was written down.",
  adviseStop: (wheels: string) => `Have the tyre looked at before you drive: ${wheels}.`,
  adviseLook: (wheels: string) => `See the note beside the wheel: ${wheels}.`,
  adviseSilent: (wheels: string) => `Check the tyre first, then its sensor: ${wheels}.`,
  adviseBattery: (wheels: string) => `Plan a new sensor, its battery is low: ${wheels}.`,
  // 49 CFR 571.138, S4.5 has owners told so; from memory.
  adviseMonthly: "Check the air once a month, when the tyres are cold.",

  // What was not checked
  notByRadio: "Sensors were heard by radio. That does not check the tyres, the wheel nuts or the car's own receiver.",
  notProof: "What a sensor says does not prove that a tyre is good.",
  notReadBack: "Nobody read back which sensors the car knows.",
  notReadBackOf: (wheels: string) => `Not read back from the car: ${wheels}.`,
  noGauge: "No hand gauge was used.",
  noGaugeOn: (wheels: string) => `No hand gauge on: ${wheels}.`,
  noReading: (wheels: string) => `No reading from: ${wheels}.`,

  // The lamp and the codes
  lampOff: (who: string) => `The lamp went off. Seen by ${who}.`,
  lampUnknown: "Nobody noted that the lamp went off.",
  codesNone: "No trouble codes were typed.",
  codesMeaning: "The car maker's manual says what a code means.",

  // How it was measured
  listenedTo: (names: string) => `Listened to ${names}.`,
  listenedToNothing: "No receiver or recording was used for this job.",
  airEntered: (figure: string) => `Air outside: ${figure}, as typed.`,
  airAssumed: (figure: string) => `Air outside: taken as ${figure}, as at the sea. Nobody typed it.`,
  warmTyre: "All pressures are above the air outside. A warm tyre shows more than a cold one.",
  radioGuide: "Radio figures are a guide only.",
  onNoWheel: (count: string) => `Also heard, on no wheel of this car: ${count}.`,
  unread: (count: string) => `Could not be read: ${count}.`,

  // Cautions, each where it belongs
  careSoft: "Was it driven soft? Then the tyre comes off and is looked at inside. It is not just filled again.",
  careSidewall: "Never fill a tyre above the figure on its side.",
  careCage: "Fill large tyres in a cage, and stand clear.",
  careCold: "Set the air by the placard, when cold. Cold means three hours parked.",
  careHot: "Never let air out of a hot tyre to reach the cold figure.",
  careJack: "Never get under a car that only a jack holds up.",
  careNuts: "Wheel nuts: use the car maker's torque, and check them again soon.",
  careSensor: "Sensor nut and seals: use the part maker's figures and kit. Keep the bead breaker off the sensor.",
  careCell: "Do not open an old sensor. It holds a lithium cell.",
  careDrive: "If the car has to learn on the road, nobody works a screen at the wheel.",
  careMaker: "The car maker's steps and local rules come first.",

  // For those who sign, and on screen
  signature: "The work above was done and explained.",
  print: "Print, or save as PDF, from the browser.",
} as const;
