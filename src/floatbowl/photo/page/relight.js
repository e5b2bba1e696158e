// A relief under a light that follows the mouse, the finger or the arrow keys, worked out from its normals.
// The normals come as a picture: red to the right, green down, blue towards you, 127.5 is none (data-normals).
const STEP_DEGREES = 15, HEIGHT_DEGREES = 5, LOWEST = 5, HIGHEST = 85;
const FROM = ["right", "bottom right", "bottom", "bottom left", "left", "top left", "top", "top right"];

function loaded(address) {
  return new Promise((done, failed) => {
    const picture = new Image();
    picture.addEventListener("load", () => done(picture));
    picture.addEventListener("error", () => failed(new Error("The picture of the normals could not be loaded.")));
    picture.src = address;
  });
}

function colours(picture) {
  const sheet = document.createElement("canvas");
  [sheet.width, sheet.height] = [picture.naturalWidth, picture.naturalHeight];
  const pen = sheet.getContext("2d", { willReadFrequently: true });
  pen.drawImage(picture, 0, 0);
  return pen.getImageData(0, 0, sheet.width, sheet.height);
}

// Sideways parts over the part towards you: what a stronger relief multiplies.
function slopes({ data }) {
  const across = new Float32Array(data.length / 4), down = new Float32Array(data.length / 4);
  for (let from = 0, to = 0; from < data.length; from += 4, to += 1) {
    const upward = Math.max(data[from + 2] - 127.5, 8);
    across[to] = (data[from] - 127.5) / upward;
    down[to] = (data[from + 1] - 127.5) / upward;
  }
  return [across, down];
}

// Resolves to { light(turn, rise), stronger(times), invert(on) }, all in degrees; turn 0 is light from the right, 90 from below.
export async function relight(canvas) {
  const normals = colours(await loaded(canvas.dataset.normals));
  const [across, down] = slopes(normals);
  [canvas.width, canvas.height] = [normals.width, normals.height];
  const pen = canvas.getContext("2d");
  const shown = pen.createImageData(normals.width, normals.height);
  const out = new Uint32Array(shown.data.buffer);
  let turn = 225, rise = 25, times = 1, inverted = false, waiting = false;

  function draw() {
    waiting = false;
    const [a, h] = [(turn * Math.PI) / 180, (rise * Math.PI) / 180];
    const [lx, ly, lz] = [Math.cos(a) * Math.cos(h) * times, Math.sin(a) * Math.cos(h) * times, Math.sin(h)];
    const gain = 128 / Math.max(lz, 0.2);
    for (let at = 0; at < out.length; at += 1) {
      const [x, y] = [across[at], down[at]];
      const lit = (x * lx + y * ly + lz) / Math.sqrt(1 + times * times * (x * x + y * y));
      let grey = Math.max(0, Math.min(255, lit * gain));
      if (inverted) grey = 255 - grey;
      out[at] = 0xff000000 | (grey << 16) | (grey << 8) | grey;
    }
    pen.putImageData(shown, 0, 0);
    canvas.setAttribute("aria-valuenow", String(Math.round(turn)));
    canvas.setAttribute("aria-valuetext", `light from the ${FROM[Math.round(turn / 45) % 8]}, ${Math.round(rise)} degrees high`);
    canvas.dispatchEvent(new CustomEvent("lit", { detail: { turn, rise } }));
  }

  function soon() {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(draw);
  }

  function light(newTurn, newRise) {
    turn = (newTurn + 360) % 360;
    rise = Math.min(HIGHEST, Math.max(LOWEST, newRise));
    soon();
  }

  // Held still (data-still), the finger moves the picture instead of the light.
  function follow(event) {
    if (canvas.dataset.still) return;
    const box = canvas.getBoundingClientRect();
    const [x, y] = [(event.clientX - box.left) / box.width - 0.5, (event.clientY - box.top) / box.height - 0.5];
    light((Math.atan2(y, x) * 180) / Math.PI, HIGHEST - Math.min(1, 2 * Math.hypot(x, y)) * (HIGHEST - LOWEST));
  }

  canvas.addEventListener("pointerdown", (event) => {
    if (!canvas.dataset.still) canvas.setPointerCapture(event.pointerId);
    follow(event);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (event.buttons || event.pointerType === "mouse") follow(event);
  });
  canvas.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!by) return;
    event.preventDefault();
    light(turn + by[0] * STEP_DEGREES, rise + by[1] * HEIGHT_DEGREES);
  });
  draw();
  return {
    light,
    stronger(newTimes) { times = newTimes; soon(); },
    invert(on) { inverted = on; soon(); },
  };
}
