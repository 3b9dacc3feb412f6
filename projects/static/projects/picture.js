// A part of the quilt that is tapped opens beside the picture; without this it is a link to the
// same page with that part.

function show(part) {
  for (const link of document.querySelectorAll("#quilt-picture a[data-part]")) {
    if (link.dataset.part === part) link.setAttribute("aria-current", "true");
    else link.removeAttribute("aria-current");
  }
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("#quilt-picture a[data-part]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey || event.button) return;
  event.preventDefault(); // the fragment comes by itself
  show(link.dataset.part);
});

// A picture that is drawn anew still shows which part is open beside it.
document.addEventListener("htmx:afterSettle", () => {
  const open = document.querySelector("#beside [data-part]");
  if (open) show(open.dataset.part);
});
