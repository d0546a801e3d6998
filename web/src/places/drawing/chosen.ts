// What is chosen in the drawing; it stays while another place is looked at.
import { signal } from "@preact/signals";

export const chosen = signal<string[]>([]);
