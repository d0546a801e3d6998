export default function Sheets() {
  return <p class="quiet">Sheets</p>;
}
