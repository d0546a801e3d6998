// No long-lived connection: the page asks for the state, often while a plan runs, seldom otherwise, and not at all
// while nobody looks at it.
import { planning, refresh } from "./store";

const WHILE_PLANNING = 250;
const OTHERWISE = 1500;

let timer: ReturnType<typeof setTimeout> | undefined;
let asking = false;

async function ask(): Promise<void> {
  if (asking) return;
  asking = true;
  clearTimeout(timer);
  try {
    await refresh();
  } finally {
    asking = false;
  }
  if (!document.hidden) timer = setTimeout(() => void ask(), planning.value ? WHILE_PLANNING : OTHERWISE);
}

export function startPolling(): void {
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) void ask();
  });
  planning.subscribe((now) => {
    if (now) {
      clearTimeout(timer);
      timer = setTimeout(() => void ask(), WHILE_PLANNING);
    }
  });
  void ask();
}
