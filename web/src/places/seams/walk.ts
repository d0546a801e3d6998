import { signal } from "@preact/signals";

/** Where along the chosen seam the magnified view is, 0 to 1. */
export const along = signal(0.5);
