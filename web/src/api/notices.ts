// Short messages that stay until they are read and put away.
import { signal } from "@preact/signals";

export interface Notice {
  id: number;
  tone: "plain" | "finding";
  text: string;
  /** A notice with the same key replaces the earlier one. */
  key?: string;
}

export const notices = signal<Notice[]>([]);
let next = 1;

export function notify(notice: Omit<Notice, "id">): void {
  const same = (other: Notice) =>
    notice.key !== undefined ? other.key === notice.key : other.text === notice.text;
  notices.value = [...notices.value.filter((other) => !same(other)), { ...notice, id: next++ }].slice(-4);
}

export function dismiss(id: number): void {
  notices.value = notices.value.filter((notice) => notice.id !== id);
}
