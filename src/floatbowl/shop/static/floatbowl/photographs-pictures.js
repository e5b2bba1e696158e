// The pictures side by side: inverted, larger or smaller, moved together; and the relief under a light that follows the finger.
import { relight } from "./photo/relight.js";

const ZOOMS = [1, 1.5, 2, 3, 4, 6];
const panes = [...document.querySelectorAll(".pane")];
const said = document.getElementById("zoom-said");
let zoom = 0;

function show() {
  for (const pane of panes) pane.firstElementChild.style.width = `${ZOOMS[zoom] * 100}%`;
  if (said) said.textContent = zoom ? `${ZOOMS[zoom]} times the width` : "fits the width";
  for (const button of document.querySelectorAll("[data-zoom]")) {
    button.disabled = zoom === (button.dataset.zoom === "in" ? ZOOMS.length - 1 : 0);
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-zoom], [data-invert]");
  if (!button) return;
  if (button.dataset.zoom) {
    zoom = Math.min(ZOOMS.length - 1, Math.max(0, zoom + (button.dataset.zoom === "in" ? 1 : -1)));
    show();
    return;
  }
  const on = button.getAttribute("aria-pressed") !== "true";
  button.setAttribute("aria-pressed", String(on));
  document.querySelector(".pictures").classList.toggle("inverted", on);
  lit?.invert(on);
});

// What is moved in one is moved in all, so that the same stroke stands before the eye.
let leads = null;
for (const pane of panes) {
  pane.addEventListener("scroll", () => {
    if (leads && leads !== pane) return;
    leads = pane;
    const across = pane.scrollLeft / Math.max(1, pane.scrollWidth - pane.clientWidth);
    const down = pane.scrollTop / Math.max(1, pane.scrollHeight - pane.clientHeight);
    for (const other of panes) {
      if (other === pane) continue;
      other.scrollLeft = across * (other.scrollWidth - other.clientWidth);
      other.scrollTop = down * (other.scrollHeight - other.clientHeight);
    }
    requestAnimationFrame(() => { leads = null; });
  });
}
if (panes.length) show();

const canvas = document.getElementById("light");
const where = document.getElementById("light-said");
let lit = null;
if (canvas) {
  relight(canvas).then((relief) => { lit = relief; }).catch(() => { where.textContent = "The relief did not come. Load the page again."; });
  canvas.addEventListener("lit", () => { where.textContent = canvas.getAttribute("aria-valuetext").replace(/^l/, "L"); });
  document.getElementById("strokes").addEventListener("input", (event) => lit?.stronger(2 ** Number(event.target.value)));
  // On a telephone a larger picture has to be moved as well as lit.
  document.getElementById("hold").addEventListener("click", ({ currentTarget }) => {
    const on = currentTarget.getAttribute("aria-pressed") !== "true";
    currentTarget.setAttribute("aria-pressed", String(on));
    canvas.dataset.still = on ? "yes" : "";
    canvas.classList.toggle("still", on);
  });
}

// The relief as it is lit now goes onto the disk, not the picture it is worked out from.
document.querySelector("[data-download-canvas]")?.addEventListener("click", (event) => {
  event.preventDefault();
  canvas.toBlob((blob) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = "relief-lit.png";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  });
});
