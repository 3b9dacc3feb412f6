// On a phone the fabrics after the first show their cloth, and their steps once asked for. On paper,
// on a wide screen and without this script everything is shown.

const [, ...others] = document.querySelectorAll(".of-fabric");

function fold(fabric, button, isFolded) {
  fabric.classList.toggle("is-folded", isFolded);
  button.setAttribute("aria-expanded", String(!isFolded));
}

for (const fabric of others) {
  const button = fabric.querySelector(".unfold");
  button.hidden = false;
  fold(fabric, button, true);
  button.addEventListener("click", () => fold(fabric, button, !fabric.classList.contains("is-folded")));
}
