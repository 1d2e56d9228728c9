/** Whole percent; 100 only when it is done. */
export function percentWords(share: number): string {
  return `${Math.floor(share * 100)}\u202f%`;
}

/** How long something will still take, to be put behind how far it is; nothing where that is not known. */
export function restWords(seconds: number | null | undefined): string {
  if (seconds === null || seconds === undefined) return "";
  if (seconds < 10) return ", a few seconds left";
  if (seconds < 90) return `, about ${Math.ceil(seconds / 10) * 10}\u202fs left`;
  const minutes = Math.ceil(seconds / 60);
  if (minutes <= 90) return `, about ${minutes}\u202fmin left`;
  return `, about ${Math.ceil(minutes / 60)}\u202fh left`;
}
