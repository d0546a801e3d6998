import type { Camera } from "./useView";

export function ViewButtons({ camera, hand, onHand }: { camera: Camera; hand: boolean; onHand: (on: boolean) => void }) {
  return (
    <div class="view-buttons" role="group" aria-label="View">
      <button type="button" aria-pressed={hand} title="A drag moves the picture instead of choosing by a box" onClick={() => onHand(!hand)}>
        Hand
      </button>
      <button type="button" aria-label="Nearer" title="Nearer (+)" onClick={() => camera.zoom(0.7)}>
        +
      </button>
      <button type="button" aria-label="Farther" title="Farther (−)" onClick={() => camera.zoom(1 / 0.7)}>
        −
      </button>
      <button type="button" title="The whole set (0)" onClick={camera.fit}>
        Whole
      </button>
    </div>
  );
}
