import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { connection } from "../api/store";
import type { PlaceName } from "../model/places";
import { placeTitles } from "../model/places";
import { Help } from "./Help";
import { Locked, Standing } from "./Standing";
import { TopRow } from "./TopRow";
import { place } from "./route";

// Each place is a chunk of its own; the first useful view needs one of them only.
const loaders: Record<PlaceName, () => Promise<{ default: ComponentType }>> = {
  drawing: () => import("../places/drawing"),
  seams: () => import("../places/seams"),
  shelf: () => import("../places/shelf"),
  sheets: () => import("../places/sheets"),
  feeds: () => import("../places/feeds"),
  proof: () => import("../places/proof"),
  papers: () => import("../places/papers"),
};

function usePlace(name: PlaceName): ComponentType | null {
  const [loaded, setLoaded] = useState<{ name: PlaceName; Place: ComponentType } | null>(null);
  useEffect(() => {
    let wanted = true;
    void loaders[name]().then((module) => wanted && setLoaded({ name, Place: module.default }));
    return () => {
      wanted = false;
    };
  }, [name]);
  return loaded?.name === name ? loaded.Place : null;
}

export function Shell() {
  const name = place.value;
  const Place = usePlace(name);
  useEffect(() => {
    document.title = `${placeTitles[name]} – Kerfwright`;
  }, [name]);
  if (connection.value === "locked") return <Locked />;
  return (
    <>
      <a class="skip" href="#work" onClick={skip}>
        To the work
      </a>
      <TopRow />
      <Standing />
      <main id="work" tabIndex={-1} aria-label={placeTitles[name]}>
        {Place && <Place />}
      </main>
      <Help />
    </>
  );
}

// The hash names the place, so the skip link moves the focus by hand.
function skip(event: Event): void {
  event.preventDefault();
  document.getElementById("work")?.focus();
}
