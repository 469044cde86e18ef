// Plays the sweep, once, on what the browser plays by.

import { soundAt } from '../hearing/player.svelte';

/** The sweep's sound, as a file. */
export const sweepSound = (): Promise<ArrayBuffer> => soundAt('/sweep');

/** Plays it so many decibels below full. Answers when its last answer has come by a slow road too. */
export async function playSweep(bytes: ArrayBuffer, below: number, signal: AbortSignal): Promise<void> {
  const context = new AudioContext({ sampleRate: 48_000 });
  try {
    const source = context.createBufferSource();
    source.buffer = await context.decodeAudioData(bytes);
    const level = context.createGain();
    level.gain.value = 10 ** (below / 20);
    source.connect(level).connect(context.destination);
    await context.resume();
    // Stopped while it was counted in.
    if (signal.aborted) return;
    await new Promise<void>((resolve) => {
      source.onended = () => resolve();
      signal.addEventListener('abort', () => {
        source.stop();
        resolve();
      });
      source.start();
    });
    if (!signal.aborted) await new Promise((resolve) => setTimeout(resolve, 1500));
  } finally {
    await context.close();
  }
}

/** The file of the sweep, to be played by something else. */
export async function sweepFile(): Promise<Blob> {
  return new Blob([await sweepSound()], { type: 'audio/wav' });
}
