export default function Feeds() {
  return <p class="quiet">Feeds</p>;
}
