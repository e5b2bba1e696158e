// The buttons of the page that stands by itself.
const canvas = document.getElementById("light"), frame = document.getElementById("frame");
const ZOOMS = [1, 1.5, 2, 3, 4, 6];
let zoom = 0;

function show() {
  canvas.style.width = `${ZOOMS[zoom] * 100}%`;
  document.getElementById("larger").disabled = zoom === ZOOMS.length - 1;
  document.getElementById("smaller").disabled = zoom === 0;
}

function zoomBy(step) {
  const [across, down] = [frame.scrollLeft + frame.clientWidth / 2, frame.scrollTop + frame.clientHeight / 2];
  const before = ZOOMS[zoom];
  zoom = Math.min(ZOOMS.length - 1, Math.max(0, zoom + step));
  show();
  frame.scrollLeft = (across * ZOOMS[zoom]) / before - frame.clientWidth / 2;
  frame.scrollTop = (down * ZOOMS[zoom]) / before - frame.clientHeight / 2;
}

// On a phone a larger picture has to be moved as well as lit.
document.getElementById("hold").addEventListener("click", ({ currentTarget }) => {
  const on = currentTarget.getAttribute("aria-pressed") !== "true";
  currentTarget.setAttribute("aria-pressed", String(on));
  canvas.dataset.still = on ? "yes" : "";
  canvas.style.touchAction = on ? "auto" : "none";
});
document.getElementById("larger").addEventListener("click", () => zoomBy(1));
document.getElementById("smaller").addEventListener("click", () => zoomBy(-1));
canvas.addEventListener("lit", () => {
  document.getElementById("where").textContent = canvas.getAttribute("aria-valuetext");
});
document.getElementById("save").addEventListener("click", () => {
  canvas.toBlob((blob) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = "relief-lit.png";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  });
});
relight(canvas).then((relief) => {
  const invert = document.getElementById("invert"), strength = document.getElementById("strength");
  invert.addEventListener("click", () => {
    const on = invert.getAttribute("aria-pressed") !== "true";
    invert.setAttribute("aria-pressed", String(on));
    relief.invert(on);
  });
  strength.addEventListener("input", () => relief.stronger(2 ** Number(strength.value)));
}).catch((fault) => { document.getElementById("where").textContent = fault.message; });
show();
