/** The part of a Playwright reporter that counts. */
export default class BrowserSummary {
  onTestEnd(test: { readonly id: string; readonly ok: () => boolean }, result: { readonly status: string }): void;
  onError(): void;
  onEnd(): void;
}
