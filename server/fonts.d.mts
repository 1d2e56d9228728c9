/** What web/fonts has to hold, by file name. */
export function madeFonts(): Promise<readonly { readonly name: string; readonly bytes: Uint8Array }[]>;
