export function runtimePackages(): readonly {
  readonly name: string;
  readonly version: string;
  readonly licence: string;
}[];
