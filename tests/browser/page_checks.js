// What every page is held to; each function returns what breaks the rule, so that a failing test shows it.
const visible = (selector) => [...document.querySelectorAll(selector)].filter((el) => el.checkVisibility());
const shown = (el) => el.outerHTML.slice(0, 120);

// WCAG 2.2, 4.1.2: everything that can be used has a name.
function nameless() {
  return visible("input:not([type=hidden]), select, textarea, button, a[href], summary, [role=img]")
    .filter((el) => !(el.labels?.length || el.getAttribute("aria-label") || el.textContent.trim()))
    .map(shown);
}

// Targets for a glove; links inside running text are let off (WCAG 2.2, 2.5.8).
function tooSmall(least) {
  return visible("input:not([type=hidden]), select, textarea, button, a[href], summary")
    .filter((el) => !el.closest("p, .skip"))
    .filter((el) => {
      const box = (el.closest("label") || el).getBoundingClientRect();
      return box.height < least || box.width < 24;
    })
    .map(shown);
}

const parts = (colour) => (colour.match(/[\d.]+/g) || []).map(Number);

function luminance([r, g, b]) {
  const linear = [r, g, b].map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
}

function ground(el) {
  for (let at = el; at; at = at.parentElement) {
    const colour = parts(getComputedStyle(at).backgroundColor);
    if (colour.length === 3 || colour[3] > 0) return colour;
  }
  return [255, 255, 255];
}

// WCAG 2.2, 1.4.3: text has a contrast of at least 4.5 to 1.
function pale() {
  const found = [];
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const el = texts.currentNode.parentElement;
    const text = texts.currentNode.textContent.trim();
    if (!text || !el.checkVisibility() || el.closest("svg, script, noscript, .unseen, .skip")) continue;
    const [a, b] = [luminance(parts(getComputedStyle(el).color)), luminance(ground(el))];
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) found.push(`${ratio.toFixed(2)} ${text.slice(0, 60)}`);
  }
  return found;
}

// WCAG 2.2, 2.4.7: whoever tabs sees where the focus is.
function unmarkedFocus() {
  const el = document.activeElement;
  if (!el || el === document.body) return null;
  const marked = (s) => (s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2) || s.boxShadow !== "none";
  return [el, el.nextElementSibling].filter(Boolean).some((one) => marked(getComputedStyle(one))) ? null : shown(el);
}

function idsTwice() {
  return visible("[id]").map((el) => el.id).filter((id, at, all) => all.indexOf(id) !== at);
}
