export default function Proof() {
  return <p class="quiet">Proof</p>;
}
