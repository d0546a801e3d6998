// The stock at the moment shown. One question is on its way at a time; when time has moved on meanwhile, the newest is
// asked next.
import { effect, signal } from "@preact/signals";
import { floats, query } from "../../api/client";
import { fail, state } from "../../api/store";
import type { SurfaceHeader } from "../../model/api";
import type { HeightField } from "../../math/heights";
import { heightFieldOf } from "../../math/heights";
import { playing, replay, setup, time } from "./moment";

export const surface = signal<{ field: HeightField; setup: string } | null>(null);

/** Points along the longer side: fewer while time runs. */
const cells = { still: 250, playing: 160 };

export function followSurface(): () => void {
  let busy = false;
  let shown = "";
  let over = false;
  const wanted = () =>
    replay.value && setup.value
      ? { setup: setup.value.name, t: Math.round(time.value * 100) / 100, cells: playing.value ? cells.playing : cells.still }
      : null;
  const keyOf = (w: NonNullable<ReturnType<typeof wanted>>) => `${state.value?.plan.serial}/${w.setup}/${w.t}/${w.cells}`;
  const ask = async () => {
    const now = wanted();
    if (busy || over || !now || keyOf(now) === shown) return;
    busy = true;
    const key = keyOf(now);
    try {
      const answer = await floats<SurfaceHeader>(`/api/surface${query(now)}`, "X-Kerfwright-Surface");
      const field = heightFieldOf(answer.header, answer.values);
      if (field && !over) surface.value = { field, setup: now.setup };
    } catch (error) {
      fail(error);
    } finally {
      shown = key;
      busy = false;
    }
    void ask();
  };
  const stop = effect(() => {
    void wanted();
    void ask();
  });
  return () => {
    over = true;
    stop();
  };
}
