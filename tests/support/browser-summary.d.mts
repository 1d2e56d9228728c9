interface ToldTest {
  readonly id: string;
  readonly title: string;
  readonly location: { readonly file: string };
  readonly ok: () => boolean;
  readonly outcome: () => string;
}

interface ToldError {
  readonly message?: string | undefined;
}

/** The part of a Playwright reporter that counts and names. */
export default class BrowserSummary {
  onTestEnd(test: ToldTest, result: { readonly status: string; readonly error?: ToldError | undefined }): void;
  onError(error: ToldError): void;
  onEnd(): void;
}
