/**
 * Puts a text on the clipboard. Over plain HTTP, and a tablet in the bay has nothing else, a page may only copy what is
 * selected on it.
 *
 * @returns Whether it is there; the text then has to be shown, so that somebody can copy it by hand.
 */
export async function copyText(text: string): Promise<boolean> {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return copySelected(text);
  }
}

function copySelected(text: string): boolean {
  const before = document.activeElement;
  const box = document.createElement("textarea");
  box.value = text;
  box.readOnly = true;
  box.className = "heard-only";
  document.body.append(box);
  box.select();
  try {
    // The old way; nothing else works without a secure context.
    return document.execCommand("copy");
  } catch {
    return false;
  } finally {
    box.remove();
    if (before instanceof HTMLElement) before.focus();
  }
}
