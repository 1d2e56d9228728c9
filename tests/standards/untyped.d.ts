// What the tests use of libraries that come without types.

declare module "polycrc" {
  export class CRC {
    constructor(width: number, poly: number, xorIn: number, xorOut: number, reflect: boolean);
    calculate(bytes: Uint8Array): number;
  }
}

declare module "ml-fft" {
  export const FFT: {
    init(size: number): void;
    fft(re: Float64Array, im: Float64Array): void;
  };
}

declare module "js-quantities" {
  export default function Qty(value: number, unit: string): { to(unit: string): { readonly scalar: number } };
}
