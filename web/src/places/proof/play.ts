// Playing: time runs on with the screen's frames while it is wanted, and not a frame longer.
import { effect } from "@preact/signals";
import { playing, span, speed, time } from "./moment";

export function keepPlaying(): () => void {
  let frame = 0;
  let last = 0;
  const step = (now: number) => {
    const seconds = last > 0 ? Math.min((now - last) / 1000, 0.25) : 0;
    last = now;
    time.value = Math.min(span.value, time.value + seconds * speed.value);
    if (time.value >= span.value) playing.value = false;
    else frame = requestAnimationFrame(step);
  };
  const stop = effect(() => {
    cancelAnimationFrame(frame);
    last = 0;
    if (playing.value) frame = requestAnimationFrame(step);
  });
  return () => {
    stop();
    cancelAnimationFrame(frame);
    playing.value = false;
  };
}

export function togglePlay(): void {
  if (!playing.value && time.value >= span.value) time.value = 0;
  playing.value = !playing.value;
}
