// The keys, in one dialog.
import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";

export const helpOpen = signal(false);

const keys: [string, string][] = [
  ["1 … 7", "go to a place"],
  ["Ctrl+Z, Ctrl+Shift+Z", "undo, redo"],
  ["Ctrl+Enter", "plan the job"],
  ["Arrow keys", "from piece to piece; Home and End to the first and last"],
  ["Enter", "choose this piece alone"],
  ["Space", "add this piece to what is chosen, or take it away"],
  ["Ctrl+A, Escape", "choose all, none"],
  ["Drag", "choose by a box; with the hand on, or with two fingers, move the picture"],
  ["Wheel, + and −, 0", "nearer, farther, the whole set"],
  ["Alt+arrow keys", "move the picture"],
  ["Arrow keys on the bench's edge", "make the bench higher or lower"],
  ["?", "this help"],
];

export function Help() {
  const dialog = useRef<HTMLDialogElement>(null);
  const open = helpOpen.value;
  useEffect(() => {
    if (open) dialog.current?.showModal();
    else dialog.current?.close();
  }, [open]);
  return (
    <dialog ref={dialog} class="help" aria-labelledby="help-title" onClose={() => (helpOpen.value = false)}>
      <h2 id="help-title">Keys</h2>
      <dl>
        {keys.map(([key, does]) => (
          <div key={key}>
            <dt>{key}</dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
      <p class="quiet">Colour is never the only sign: hatches tell materials, line weight and dashes tell gaps, words tell verdicts.</p>
      <button type="button" onClick={() => (helpOpen.value = false)}>
        Close
      </button>
    </dialog>
  );
}
