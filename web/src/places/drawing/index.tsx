export default function Drawing() {
  return <p class="quiet">Drawing</p>;
}
