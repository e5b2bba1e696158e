// Timers that outlive a reload, and the measuring sheet row by row on a narrow screen.
const TICK_MS = 500;

function timerOf(button) {
  const key = `floatbowl timer ${button.dataset.timerKey}`;
  const said = button.parentElement.querySelector("output");
  const ends = Number(localStorage.getItem(key) || 0);
  if (!ends) { said.textContent = ""; button.hidden = false; return; }
  const left = Math.ceil((ends - Date.now()) / 1000);
  said.classList.toggle("over", left <= 0);
  if (left > 0) {
    said.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} to go`;
    button.hidden = true;
  } else {
    if (button.hidden) navigator.vibrate?.([300, 150, 300]);
    said.textContent = `${button.dataset.timer} minutes are over: look now.`;
    button.textContent = "Start again";
    button.hidden = false;
  }
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-timer]");
  if (!button) return;
  localStorage.setItem(`floatbowl timer ${button.dataset.timerKey}`, String(Date.now() + Number(button.dataset.timer) * 60_000));
  timerOf(button);
});
setInterval(() => document.querySelectorAll("[data-timer]").forEach(timerOf), TICK_MS);
document.querySelectorAll("[data-timer]").forEach(timerOf);

// One row at a time, where the screen is narrow or somebody asked for it.
const narrow = matchMedia("(max-width: 40rem)");

function rowsIn() {
  const sheet = document.querySelector("[data-one-by-one]");
  return sheet ? { sheet, rows: [...sheet.querySelectorAll("[data-row]")] } : null;
}

function showRow(at) {
  const found = rowsIn();
  if (!found || !found.rows.length) return;
  const { sheet, rows } = found;
  const here = Math.max(0, Math.min(rows.length - 1, at));
  sheet.dataset.at = here;
  sheet.classList.toggle("one-by-one", narrow.matches);
  rows.forEach((row, place) => row.classList.toggle("row-hidden", place !== here));
  sheet.querySelector("[data-row-place]").textContent = `${here + 1} of ${rows.length}`;
  sheet.querySelector("[data-row-back]").disabled = here === 0;
  sheet.querySelector("[data-row-on]").disabled = here === rows.length - 1;
  sessionStorage.setItem(`floatbowl row ${location.pathname}`, String(here));
}

function firstRow() {
  const kept = sessionStorage.getItem(`floatbowl row ${location.pathname}`);
  const found = rowsIn();
  if (!found) return;
  const open = found.rows.findIndex((row) => row.dataset.row === "open");
  showRow(kept !== null ? Number(kept) : Math.max(0, open));
}

document.addEventListener("click", (event) => {
  const sheet = event.target.closest?.("[data-one-by-one]");
  if (!sheet) return;
  if (event.target.closest("[data-row-back]")) showRow(Number(sheet.dataset.at) - 1);
  if (event.target.closest("[data-row-on]")) showRow(Number(sheet.dataset.at) + 1);
});
narrow.addEventListener("change", firstRow);
document.addEventListener("floatbowl:step", firstRow);
firstRow();
