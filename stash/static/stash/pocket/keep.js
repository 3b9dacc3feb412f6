// The press that lets the browser keep the stash for times without a signal, over https only.

const button = document.querySelector("[data-keep]");
const told = document.querySelector("[data-kept]");

if (navigator.serviceWorker) {
  button.closest("[hidden]").hidden = false;
  button.addEventListener("click", async () => {
    button.disabled = true;
    try {
      await navigator.serviceWorker.register("/service-worker.js");
      const ready = await navigator.serviceWorker.ready;
      ready.active.postMessage("keep");
      told.textContent = "Kept. Without a signal any address of this site shows it.";
    } catch {
      told.textContent = "This browser would not keep it; save the page instead.";
      button.disabled = false;
    }
  });
}
