// Where the page is: the hash, so that back and forward work.
import { signal } from "@preact/signals";
import { placeOf, type PlaceName } from "../model/places";

export const place = signal<PlaceName>(placeOf(location.hash));

addEventListener("hashchange", () => {
  place.value = placeOf(location.hash);
});

export function go(to: PlaceName): void {
  location.hash = `/${to}`;
}
