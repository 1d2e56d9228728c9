import type { CardSound } from "./model/sounds.ts";

/** Two short notes: rising for what is new, falling for what was had already. */
const NOTES_HZ: Readonly<Record<CardSound, readonly [number, number]>> = {
  new: [660, 990],
  "already had": [520, 390],
};
const NOTE_SECONDS = 0.12;

/** Plays a sound, where the browser lets it: not before somebody has touched the page. */
export function play(sound: CardSound): void {
  if (!("AudioContext" in globalThis)) return;
  const context = new AudioContext();
  NOTES_HZ[sound].forEach((hz, i) => {
    const tone = context.createOscillator();
    const level = context.createGain();
    level.gain.value = 0.15;
    tone.frequency.value = hz;
    tone.connect(level).connect(context.destination);
    tone.start(context.currentTime + i * NOTE_SECONDS);
    tone.stop(context.currentTime + (i + 1) * NOTE_SECONDS);
  });
  setTimeout(() => void context.close(), 1000);
}
