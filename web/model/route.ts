/** Where somebody is in the pages; every one has an address that can be read and kept. */
export type Route =
  | { readonly page: "start" }
  | { readonly page: "jobs" }
  | { readonly page: "job"; readonly id: string }
  | { readonly page: "wheel"; readonly id: string; readonly wheel: string }
  | { readonly page: "sending" }
  | { readonly page: "bench" }
  | { readonly page: "lot"; readonly id: string }
  | { readonly page: "lotRecord"; readonly id: string }
  | { readonly page: "lotsCompared"; readonly id: string }
  | { readonly page: "specimen"; readonly id: string; readonly number: number }
  | { readonly page: "class" }
  | { readonly page: "board"; readonly code: string }
  | { readonly page: "join" }
  | { readonly page: "seat" }
  | { readonly page: "collisions" }
  | { readonly page: "make" }
  | { readonly page: "twoBands" }
  | { readonly page: "exerciseSet"; readonly id: string }
  | { readonly page: "exercise"; readonly set: string; readonly id: string }
  | { readonly page: "exerciseEditor"; readonly id: string }
  | { readonly page: "recordings" }
  | { readonly page: "recording"; readonly hash: string }
  | { readonly page: "compare" }
  | { readonly page: "studies" }
  | { readonly page: "newStudy" }
  | { readonly page: "study"; readonly id: string }
  | { readonly page: "layouts" }
  | { readonly page: "layout"; readonly id: string; readonly version: number | undefined }
  | { readonly page: "worksheet"; readonly id: string }
  | { readonly page: "receivers" }
  | { readonly page: "fleet" }
  | { readonly page: "devices" }
  | { readonly page: "pair" }
  | { readonly page: "settings" }
  | { readonly page: "words" }
  | { readonly page: "help" }
  | { readonly page: "keys" };

/** The route of a path without its query; `undefined` where no page has that address. */
export function routeOf(path: string): Route | undefined {
  const parts = path.split("/").filter((part) => part !== "");
  const [first, second, third, fourth] = parts.map(decoded);
  if (first === "bench" && second !== undefined && parts.length <= 4) {
    return benchRoute(second.toUpperCase(), third, fourth);
  }
  if (first === "class" && second !== undefined && parts.length <= 4) return classRoute(second, third, fourth);
  if (parts.length > 3) return undefined;
  if (first === undefined) return { page: "start" };
  if (second === undefined) return isPlainPage(first) ? { page: first } : undefined;
  if (first === "jobs" && third !== undefined) return { page: "wheel", id: second.toUpperCase(), wheel: third };
  if (third !== undefined) return undefined;
  switch (first) {
    case "jobs":
      return { page: "job", id: second.toUpperCase() };
    case "recordings":
      return { page: "recording", hash: second };
    case "studies":
      return second === "new" ? { page: "newStudy" } : { page: "study", id: second.toUpperCase() };
    case "layouts":
      return layoutRoute(second);
    case "workshop":
      return { page: "worksheet", id: second.toUpperCase() };
    case "help":
      return second === "keys" ? { page: "keys" } : undefined;
    default:
      return undefined;
  }
}

/** Whether a page is a student's, who may see no other: what stands around the others is not for it. */
export function isOfASeat(route: Route | undefined): boolean {
  return route?.page === "join" || route?.page === "seat";
}

/** The path of a route, such as `/jobs/7K3F/left-front`. */
export function addressOf(route: Route): string {
  switch (route.page) {
    case "start":
      return "/";
    case "job":
      return `/jobs/${encodeURIComponent(route.id)}`;
    case "wheel":
      return `/jobs/${encodeURIComponent(route.id)}/${encodeURIComponent(route.wheel)}`;
    case "lot":
      return `/bench/${encodeURIComponent(route.id)}`;
    case "lotRecord":
      return `/bench/${encodeURIComponent(route.id)}/record`;
    case "lotsCompared":
      return `/bench/${encodeURIComponent(route.id)}/compare`;
    case "specimen":
      return `/bench/${encodeURIComponent(route.id)}/${route.number}`;
    case "exerciseSet":
      return `/class/set/${encodeURIComponent(route.id)}`;
    case "exercise":
      return `/class/set/${encodeURIComponent(route.set)}/${encodeURIComponent(route.id)}`;
    case "exerciseEditor":
      return `/class/edit/${encodeURIComponent(route.id)}`;
    case "recording":
      return `/recordings/${encodeURIComponent(route.hash)}`;
    case "newStudy":
      return "/studies/new";
    case "study":
      return `/studies/${encodeURIComponent(route.id)}`;
    case "layout":
      return `/layouts/${encodeURIComponent(route.id)}${route.version === undefined ? "" : `@${route.version}`}`;
    case "worksheet":
      return `/workshop/${encodeURIComponent(route.id)}`;
    case "board":
      return `/class/board/${encodeURIComponent(route.code)}`;
    case "join":
    case "seat":
    case "collisions":
    case "make":
      return `/class/${route.page}`;
    case "twoBands":
      return "/class/two-bands";
    case "keys":
      return "/help/keys";
    default:
      return `/${route.page}`;
  }
}

/** A wheel position as it stands in an address: `left front` is `left-front`. */
export function wheelSlug(position: string): string {
  return position.trim().toLowerCase().replace(/\s+/g, "-");
}

export const ENTRIES = ["jobs", "bench", "recordings", "layouts", "class"] as const;
export type Entry = (typeof ENTRIES)[number];

/** Which of the five entries a route lies under; `undefined` for those beside them. */
export function entryOf(route: Route): Entry | undefined {
  switch (route.page) {
    case "job":
    case "wheel":
      return "jobs";
    case "lot":
    case "lotRecord":
    case "lotsCompared":
    case "specimen":
      return "bench";
    case "exerciseSet":
    case "exercise":
    case "exerciseEditor":
      return "class";
    case "recording":
    case "compare":
    case "studies":
    case "newStudy":
    case "study":
      return "recordings";
    case "layout":
    case "worksheet":
      return "layouts";
    case "board":
    case "collisions":
    case "make":
    case "twoBands":
      return "class";
    default:
      return ENTRIES.find((entry) => entry === route.page);
  }
}

type PlainPage = Exclude<
  Route["page"],
  | "start"
  | "job"
  | "wheel"
  | "lot"
  | "lotRecord"
  | "lotsCompared"
  | "specimen"
  | "exerciseSet"
  | "exercise"
  | "exerciseEditor"
  | "recording"
  | "newStudy"
  | "study"
  | "layout"
  | "worksheet"
  | "board"
  | "join"
  | "seat"
  | "collisions"
  | "make"
  | "twoBands"
  | "keys"
>;
const PLAIN_PAGES: ReadonlySet<string> = new Set<PlainPage>([
  ...ENTRIES,
  "compare",
  "studies",
  "sending",
  "receivers",
  "fleet",
  "devices",
  "pair",
  "settings",
  "words",
  "help",
]);

function isPlainPage(name: string): name is PlainPage {
  return PLAIN_PAGES.has(name);
}

/** `/bench/7Q4X`, `/bench/7Q4X/7` and `/bench/7Q4X/specimen/7` for its specimen 7, `/record` and `/compare` below it. */
function benchRoute(id: string, third: string | undefined, fourth: string | undefined): Route | undefined {
  if (third === undefined) return { page: "lot", id };
  const digits = third === "specimen" ? fourth : fourth === undefined ? third : undefined;
  if (digits !== undefined && /^[1-9][0-9]{0,2}$/.test(digits)) return { page: "specimen", id, number: Number(digits) };
  if (fourth !== undefined) return undefined;
  if (third === "record") return { page: "lotRecord", id };
  return third === "compare" ? { page: "lotsCompared", id } : undefined;
}

/** `/class/set/two-bands`, an exercise below it, `/class/edit/my-set`, `/class/board/7K3F`, and the tools of the class. */
function classRoute(second: string, third: string | undefined, fourth: string | undefined): Route | undefined {
  if (third === undefined) {
    if (second === "two-bands") return { page: "twoBands" };
    const plain = (["collisions", "make", "join", "seat"] as const).find((page) => page === second);
    return plain && { page: plain };
  }
  if (second === "board" && fourth === undefined) return { page: "board", code: third.toUpperCase() };
  if (second === "set") {
    return fourth === undefined ? { page: "exerciseSet", id: third } : { page: "exercise", set: third, id: fourth };
  }
  return second === "edit" && fourth === undefined ? { page: "exerciseEditor", id: third } : undefined;
}

function layoutRoute(text: string): Route | undefined {
  const match = /^([^@]+)(?:@([1-9][0-9]*))?$/.exec(text);
  if (!match?.[1]) return undefined;
  return { page: "layout", id: match[1], version: match[2] === undefined ? undefined : Number(match[2]) };
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part; // a stray % is no more than an address that nobody has
  }
}
