export default function Seams() {
  return <p class="quiet">Seams</p>;
}
