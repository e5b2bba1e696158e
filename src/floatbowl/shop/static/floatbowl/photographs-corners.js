// Four corners over a picture: dragged by finger or mouse, put by a tap, moved by arrow keys; a glass shows what the finger hides.
const board = document.querySelector(".quad");
const svg = board.querySelector("svg");
const field = document.getElementById(board.dataset.quad);
const said = document.getElementById("quad-said");
const glass = board.querySelector(".loupe");
const corners = [...svg.querySelectorAll(".corner")];
const NAMES = ["top left", "top right", "bottom right", "bottom left"];
const [width, height] = [Number(board.dataset.width), Number(board.dataset.height)];
const TOUCH_PX = 28, RING_PX = 11, GLASS_PX = 34;
let quad = JSON.parse(field.value);
let held = null;

const picture = new Image();
picture.src = svg.querySelector("image").getAttribute("href");
picture.addEventListener("error", () => { said.textContent = "The picture did not come. Load the page again."; });

// The same plate in another picture: strokes that the plain one hides.
for (const view of document.querySelectorAll("[name=view]")) {
  view.addEventListener("change", () => { picture.src = view.value; svg.querySelector("image").setAttribute("href", view.value); });
}

// The picture may stand in the middle of its frame, with bands beside it.
const unit = () => 1 / (svg.getScreenCTM()?.a || 1);
const path = (points) => `M${points.map((point) => point.join(" ")).join("L")}Z`;

function draw() {
  const px = unit();
  corners.forEach((corner, place) => {
    corner.setAttribute("transform", `translate(${quad[place].join(" ")})`);
    corner.querySelector(".corner-touch").setAttribute("r", TOUCH_PX * px);
    corner.querySelector(".corner-ring").setAttribute("r", RING_PX * px);
    const arm = RING_PX * px;
    corner.querySelector(".corner-cross").setAttribute("d", `M${-arm} 0H${arm}M0 ${-arm}V${arm}`);
  });
  svg.querySelector(".quad-edge").setAttribute("d", path(quad));
  svg.querySelector(".quad-shade").setAttribute("d", `M0 0H${width}V${height}H0Z${path(quad)}`);
  field.value = JSON.stringify(quad.map((point) => point.map((value) => Math.round(value * 100) / 100)));
}

function move(place, x, y) {
  quad[place] = [Math.min(Math.max(x, 0), width), Math.min(Math.max(y, 0), height)];
  draw();
  said.textContent = crossed() ? "The corners lie crosswise: the first belongs to the top left, the others follow clockwise." : "";
  said.classList.toggle("error", crossed());
}

function crossed() {
  return quad.some((a, place) => {
    const b = quad[(place + 1) % 4], c = quad[(place + 2) % 4];
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) <= 0;
  });
}

function at(event) {
  const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [x, y];
}

function look(place) {
  if (!picture.complete || !picture.naturalWidth) return;
  const [x, y] = quad[place];
  const scale = picture.naturalWidth / width;
  const half = GLASS_PX * unit() * scale;
  const pen = glass.getContext("2d");
  pen.fillStyle = "#22302f";
  pen.fillRect(0, 0, glass.width, glass.height);
  pen.drawImage(picture, x * scale - half, y * scale - half, 2 * half, 2 * half, 0, 0, glass.width, glass.height);
  pen.strokeStyle = "#fff";
  pen.lineWidth = 5;
  const middle = glass.width / 2;
  const cross = () => { pen.beginPath(); pen.moveTo(middle, 0); pen.lineTo(middle, glass.height); pen.moveTo(0, middle); pen.lineTo(glass.width, middle); pen.stroke(); };
  cross();
  pen.strokeStyle = "#8f3410";
  pen.lineWidth = 2;
  cross();
  glass.hidden = false;
  glass.classList.toggle("right", x < width / 2);
}

svg.addEventListener("pointerdown", (event) => {
  if (event.button) return;
  const [x, y] = at(event);
  const place = nearest(x, y);
  const offset = [quad[place][0] - x, quad[place][1] - y];
  // A corner that is touched follows the finger; a tap elsewhere puts the nearest one there.
  const touched = Math.hypot(...offset) <= TOUCH_PX * unit();
  held = { place, offset: touched ? offset : [0, 0] };
  svg.setPointerCapture(event.pointerId);
  corners[place].focus({ preventScroll: true });
  if (!touched) move(place, x, y);
  look(place);
  event.preventDefault();
});
svg.addEventListener("pointermove", (event) => {
  if (!held) return;
  const [x, y] = at(event);
  move(held.place, x + held.offset[0], y + held.offset[1]);
  look(held.place);
});
for (const over of ["pointerup", "pointercancel"]) svg.addEventListener(over, () => { held = null; glass.hidden = true; });

const nearest = (x, y) => quad.map(([a, b], place) => [Math.hypot(a - x, b - y), place]).sort((a, b) => a[0] - b[0])[0][1];

corners.forEach((corner, place) => corner.addEventListener("keydown", (event) => {
  const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (event.key === "Enter") { field.form.requestSubmit(); return; }
  if (!by) return;
  event.preventDefault();
  const far = unit() * (event.shiftKey ? 16 : 2);
  move(place, quad[place][0] + by[0] * far, quad[place][1] + by[1] * far);
  if (!said.textContent) said.textContent = `${NAMES[place]} corner at ${quad[place].map(Math.round).join(", ")}`;
  look(place);
}));
svg.addEventListener("focusout", () => { if (!held) glass.hidden = true; });
new ResizeObserver(draw).observe(svg);
draw();
