export default function Papers() {
  return <p class="quiet">Papers</p>;
}
