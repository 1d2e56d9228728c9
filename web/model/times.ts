/**
 * A time of day for people, such as `25 Nov 2026, 12:04`, in the zone of the device; the text itself where it is no
 * time.
 *
 * @param timeZone Such as `UTC`; without it the device's own.
 */
export function timeShown(at: string, timeZone?: string): string {
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) return at;
  const zone = timeZone === undefined ? {} : { timeZone };
  const day = date.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", ...zone });
  const clock = date.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", ...zone });
  return `${day}, ${clock}`;
}

/** How long ago something was, in words that change as seldom as they can. */
export function agoShown(at: string, nowMs: number): string {
  const seconds = Math.round((nowMs - Date.parse(at)) / 1000);
  if (Number.isNaN(seconds)) return at;
  if (seconds < 2) return "now";
  if (seconds < 90) return `${seconds} s ago`;
  if (seconds < 90 * 60) return `${Math.round(seconds / 60)} min ago`;
  if (seconds < 36 * 3600) return `${Math.round(seconds / 3600)} h ago`;
  return `${Math.round(seconds / 86400)} days ago`;
}

/** Such as `14:03`, in the zone of the device. */
export function clockShown(at: Date): string {
  return at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

/** Such as `14:03:12`, in the zone of the device; the text itself where it is no time. */
export function clockWithSeconds(at: string): string {
  const date = new Date(at);
  return Number.isNaN(date.getTime()) ? at : date.toLocaleTimeString("en-GB");
}
