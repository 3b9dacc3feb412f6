// Facets stand open beside the shelf where there is room and stay folded on a phone;
// arrow keys walk through the fabrics.

const wide = window.matchMedia("(min-width: 60rem)");
let opened = wide.matches;

function settle() {
  const facets = document.querySelector(".facets");
  if (facets) facets.open = opened;
}
settle();
document.addEventListener("toggle", (event) => {
  if (event.target.matches?.(".facets")) opened = event.target.open;
}, true);
document.addEventListener("htmx:afterSwap", settle);

// Words are sent by Enter or the button; leaving the box as well would put every search into the
// browser's history twice.
document.querySelector("[data-search-box]")?.addEventListener("change", (event) => event.stopPropagation());

document.addEventListener("keydown", (event) => {
  const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  const link = event.target.closest?.(".cloth-link");
  if (!step || !link) return;
  const links = [...document.querySelectorAll(".cloth-link")];
  const next = links[links.indexOf(link) + step];
  if (next) { event.preventDefault(); next.focus(); }
});

// A tick is no question: the search does not run anew for it.
document.addEventListener("change", (event) => {
  if (event.target.closest?.(".tick")) event.stopPropagation();
}, true);
