/**
 * What on the page that is open bears a name: buttons, links, folds, boxes with their label and groups of choices that can
 * be seen, in the order of the page.
 *
 * @param says What it says; `…` at the end stands for any words.
 */
export function thingsNamed(says: string): HTMLElement[] {
  const main = document.getElementById("main");
  const all = main?.querySelectorAll<HTMLElement>("button, a[href], summary, label, legend") ?? [];
  const fits = (words: string) => (says.endsWith("…") ? words.startsWith(says.slice(0, -1)) : words === says);
  return [...all].filter((one) => fits(seenWords(one)) && isSeen(one)).map(usable);
}

/** Whether it can be pressed now. */
export function isUsable(thing: HTMLElement): boolean {
  return !("disabled" in thing && thing.disabled === true);
}

/** Presses it; a group of choices and a box only take the focus, since what is chosen is not for us to say. */
export function takeThing(thing: HTMLElement, { press }: { readonly press: boolean }): void {
  const isChoice = thing instanceof HTMLInputElement && thing.type === "radio";
  if (press && !isChoice) thing.click();
  else {
    thing.scrollIntoView({ block: "center" });
    thing.focus();
  }
}

/** The words that are seen, without those that are only heard. */
function seenWords(element: HTMLElement): string {
  const copy = element.cloneNode(true);
  if (copy instanceof HTMLElement) for (const heard of copy.querySelectorAll(".heard-only")) heard.remove();
  return (copy.textContent ?? "").replace(/\s+/g, " ").trim();
}

function isSeen(element: HTMLElement): boolean {
  return typeof element.checkVisibility !== "function" || element.checkVisibility();
}

/** Of a label or a group what takes the focus. */
function usable(element: HTMLElement): HTMLElement {
  const within = element instanceof HTMLLabelElement ? element : element.closest("fieldset");
  if (!(element instanceof HTMLLabelElement) && !(element instanceof HTMLLegendElement)) return element;
  const labelled = element instanceof HTMLLabelElement ? element.control : null;
  return labelled ?? within?.querySelector<HTMLInputElement>("input:checked, input") ?? element;
}
