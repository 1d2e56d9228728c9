/** Of a ranked float: what is left is right to 0.03 %, and found sooner than all of it. */
export const DROPPED_BITS = 11;

/** Window and turns as a kernel wants them, and the sum of the window's squares. */
export interface Tables {
  readonly tables: Int16Array | Float32Array;
  readonly windowPower: number;
}

/** Of the channeliser of 64 channels in whole numbers, in units of 1/32768; the window 3/4 high, so that sums fit. */
export function integerTables(): Tables {
  const tables = new Int16Array(64 + 6 * 16 + 6 * 16);
  const whole = (value: number) => Math.max(-32768, Math.min(32767, Math.round(32768 * value)));
  let windowPower = 0;
  for (let i = 0; i < 64; i++) {
    tables[i] = whole(0.75 * hann(i, 64));
    windowPower += (tables[i]! / 32768) ** 2;
  }
  let at = 64;
  for (const [length, of] of [
    [64, (i: number) => i],
    [16, (i: number) => i >> 2],
  ] as const) {
    for (let turn = 1; turn < 4; turn++) {
      for (let i = 0; i < 16; i++) tables[at + i] = whole(Math.cos((2 * Math.PI * turn * of(i)) / length));
      for (let i = 0; i < 16; i++) tables[at + 16 + i] = whole(-Math.sin((2 * Math.PI * turn * of(i)) / length));
      at += 32;
    }
  }
  return { tables, windowPower };
}

/**
 * Of the channeliser in single precision.
 *
 * @param channels A power of two, at least 32.
 * @param fullScale What the window divides by, so that samples need no scaling.
 */
export function floatTables(channels: number, fullScale: number): Tables {
  const tables = new Float32Array(4 * channels);
  let windowPower = 0;
  for (let i = 0; i < channels; i++) {
    const w = hann(i, channels);
    windowPower += w * w;
    tables[i] = w / fullScale;
  }
  const quarter = channels / 4;
  let at = channels;
  for (let turn = 1; turn < 4; turn++) {
    for (let i = 0; i < quarter; i++) tables[at + i] = Math.cos((2 * Math.PI * turn * i) / channels);
    for (let i = 0; i < quarter; i++) tables[at + quarter + i] = -Math.sin((2 * Math.PI * turn * i) / channels);
    at += 2 * quarter;
  }
  for (let left = quarter; left > 4; left /= 4) {
    for (let i = 0; i < left / 4; i++) {
      for (let turn = 1; turn < 4; turn++) {
        tables[at++] = Math.cos((2 * Math.PI * turn * i) / left);
        tables[at++] = -Math.sin((2 * Math.PI * turn * i) / left);
      }
    }
  }
  return { tables, windowPower };
}

/** A strong burst stays in its channels. */
function hann(i: number, length: number): number {
  return 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / length);
}
