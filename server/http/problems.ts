interface ProblemKind {
  readonly status: number;
  readonly title: string;
  /** Why it comes about, for the help page. */
  readonly why: string;
  /** What somebody can do about any of its kind. */
  readonly nextSteps: readonly [string, ...string[]];
}

/** Every way in which the server refuses; each has a help page of its own. */
export const PROBLEMS = {
  "not-fitting": {
    status: 400,
    title: "Something in the request does not fit",
    why: "A key is missing, is not known, or has a value that is not allowed. Nothing was changed.",
    nextSteps: ["Mend what the complaints name and send it again.", "See what is expected at /help/api."],
  },
  "not-json": {
    status: 400,
    title: "The body is not JSON",
    why: "The body could not be read as JSON in UTF-8. Nothing was changed.",
    nextSteps: ["Mend the byte that is named and send it again."],
  },
  "not-readable": {
    status: 400,
    title: "The request cannot be read",
    why: "The address or the headers are written in a way that HTTP does not allow.",
    nextSteps: ["Mend the address or the header that is named."],
  },
  "foreign-origin": {
    status: 403,
    title: "Another site may not change anything here",
    why: "A browser sent this write on behalf of a page that did not come from this server.",
    nextSteps: ["Open this server's own page and do it there."],
  },
  "not-paired": {
    status: 401,
    title: "This device is not let in",
    why: "From the shop's network only devices come in that were let in at the computer that runs Wheelgram, and that were not let go since.",
    nextSteps: ["Ask for a code at the computer that runs Wheelgram, at Devices, and open it on this device."],
  },
  "no-seat": {
    status: 401,
    title: "This phone has no seat in a lesson",
    why: "A seat is taken with the code of a lesson. It goes when the lesson ends, or when its seats are wiped for the next class.",
    nextSteps: ["Ask for the lesson's code, open /class/join on this phone and take a seat."],
  },
  "only-here": {
    status: 403,
    title: "That can only be done at the computer itself",
    why: "Who may come in is decided at the computer that runs Wheelgram, so that no device can let in another; and so is which of its files are opened.",
    nextSteps: ["Go to the computer that runs Wheelgram and do it there."],
  },
  "not-found": {
    status: 404,
    title: "There is nothing at this address",
    why: "No such path, or what was there is gone.",
    nextSteps: ["Go to the list that it should be in and look there.", "See all paths at /help/api."],
  },
  "method-not-allowed": {
    status: 405,
    title: "That cannot be done at this address",
    why: "The path is there, but takes other methods.",
    nextSteps: ["Use one of the methods that the header Allow names.", "See all paths at /help/api."],
  },
  "too-slow": {
    status: 408,
    title: "The rest of it did not come",
    why: "The body began to come in and then stood still for too long. Nothing of it was kept.",
    nextSteps: ["Send it again.", "If it stays, see that whatever sends it does not wait for something else."],
  },
  conflict: {
    status: 409,
    title: "That stands against what is there",
    why: "What is there already does not go together with what was asked for.",
    nextSteps: ["Look at what is there, then send what goes with it."],
  },
  "samples-gone": {
    status: 409,
    title: "The samples are not where they were",
    why: "The recording is read where it lies in the data folder, and its file there is gone or has changed. What was found in it before is still there.",
    nextSteps: ["Put the file back as it was.", "Or open it again on the page of recordings."],
  },
  stale: {
    status: 412,
    title: "Somebody else changed it meanwhile",
    why: "The write was based on a revision that is no longer the newest. Nothing was changed, and nothing is lost.",
    nextSteps: ["Look at what is there now, choose what holds, and send it with the newer revision."],
  },
  "too-large": {
    status: 413,
    title: "That is more than the server takes",
    why: "The body is larger than the limit for this path. Nothing of it was kept.",
    nextSteps: ["Send a shorter recording, or cut this one into pieces."],
  },
  "not-that-type": {
    status: 415,
    title: "The body is of a type that is not taken here",
    why: "The header Content-Type or Content-Encoding names something that this path does not read.",
    nextSteps: ["Send it as the type that is named."],
  },
  "wrong-host": {
    status: 421,
    title: "This server does not go by that name",
    why: "The header Host names neither this computer's own loopback names nor the address the server listens on, as when a foreign page had its name point here.",
    nextSteps: ["Open the address that the server printed when it was started."],
  },
  "no-recording": {
    status: 422,
    title: "That cannot be read as a recording",
    why: "The bytes came in whole, but are no recording of a kind that is known, or are broken.",
    nextSteps: [
      "Mend what is named, or record again.",
      "Send a SigMF archive, a WAVE file, or raw samples with ?type, ?rate and ?carrier.",
    ],
  },
  "no-revision": {
    status: 428,
    title: "Say which revision the change is based on",
    why: "Without it, two people at one card would overwrite each other's work without a word.",
    nextSteps: ["Fetch it, and send its ETag back in the header If-Match."],
  },
  "other-write": {
    status: 422,
    title: "That key stood before another write",
    why: "The header Idempotency-Key names a write that was sent before with another body or to another address. Nothing was changed.",
    nextSteps: ["Send it with a key of its own."],
  },
  "too-many": {
    status: 429,
    title: "Too many tries",
    why: "Codes or keys were wrong more often than anybody mistypes.",
    nextSteps: ["Wait a minute, then ask for a new code at the computer that runs Wheelgram."],
  },
  unexpected: {
    status: 500,
    title: "Something went wrong in the server",
    why: "A mistake in the program, or a device that failed. What was stored before is still there.",
    nextSteps: ["Try again.", "If it stays, look at what the server printed under the number that is named."],
  },
  "not-now": {
    status: 503,
    title: "The server cannot do that at the moment",
    why: "Something that it needs is missing or held by another program.",
    nextSteps: ["Do what is named, then try again."],
  },
  "samples-elsewhere": {
    status: 503,
    title: "The samples are not at this server",
    why: "In a fleet the samples of a recording lie at the server that took it, which sends them to the object store. The other servers fetch them from there when somebody asks. With a long recording both take a while.",
    nextSteps: [
      "Wait a minute, then try again.",
      "If it stays, analyse the recording again at the server that took it: that sends its samples anew.",
    ],
  },
  "no-room": {
    status: 507,
    title: "There is no room left on the disk",
    why: "The data folder's disk is full. What was being written was not kept; what was stored before is still there.",
    nextSteps: ["Remove recordings that are no longer needed, or make room on the disk, then try again."],
  },
} as const satisfies Readonly<Record<string, ProblemKind>>;

export type ProblemName = keyof typeof PROBLEMS;

export function isProblemName(name: string): name is ProblemName {
  return Object.hasOwn(PROBLEMS, name);
}
