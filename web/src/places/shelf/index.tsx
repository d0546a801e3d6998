export default function Shelf() {
  return <p class="quiet">Shelf</p>;
}
