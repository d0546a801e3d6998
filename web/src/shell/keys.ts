// Keys that work everywhere, except where text is typed.
import { planning, redo, startPlan, state, undo } from "../api/store";
import { places } from "../model/places";
import { helpOpen } from "./Help";
import { go } from "./route";

function typing(target: EventTarget | null): boolean {
  return target instanceof HTMLElement && target.matches("input:not([type=range]):not([type=checkbox]), textarea, select");
}

export function listenToKeys(): void {
  addEventListener("keydown", (event) => {
    if (event.defaultPrevented || typing(event.target)) return;
    const control = event.ctrlKey || event.metaKey;
    const key = event.key.toLowerCase();
    const job = state.value?.job;
    if (control && key === "z" && !event.shiftKey && job?.undo) void undo();
    else if (control && (key === "y" || (key === "z" && event.shiftKey)) && job?.redo) void redo();
    else if (control && key === "enter" && job && !planning.value) void startPlan();
    else if (!control && !event.altKey && key === "?") helpOpen.value = true;
    else if (!control && !event.altKey && /^[1-7]$/.test(key)) {
      const place = places[Number(key) - 1];
      if (place) go(place);
    } else return;
    event.preventDefault();
  });
}
