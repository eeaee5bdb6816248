// The plan under the hand: zoom, move, and walk from symbol to symbol by arrow keys. All of it is also there as links,
// without this script; where the script moves the plan, the address follows, so that it can be shared and reloaded.
"use strict";
(() => {
  const plan = document.querySelector(".frame > .plan");
  if (!plan) return;
  const whole = plan.dataset.whole.split(" ").map(Number);
  const items = [...plan.querySelectorAll("a.item")];
  const least = 12, most = 1.5, step = 1.25; // mm of the sheet, of the whole sheet, of the section
  let shown = plan.getAttribute("viewBox").split(" ").map(Number);
  let later = 0;

  // mm of the sheet to a pixel, as the plan is fitted into its frame
  const grain = () => {
    const r = plan.getBoundingClientRect();
    return Math.max(shown[2] / r.width, shown[3] / r.height);
  };

  // where on the sheet a place of the screen is
  const at = (x, y) => {
    const r = plan.getBoundingClientRect(), g = grain();
    return [shown[0] + shown[2] / 2 + (x - r.left - r.width / 2) * g, shown[1] + shown[3] / 2 + (y - r.top - r.height / 2) * g];
  };

  const fit = () => {
    const g = grain();
    plan.classList.toggle("far", 1.9 / g < 7.5); // names beside symbols: 1.9 mm high on the sheet
    plan.style.setProperty("--hit", Math.max(2.1, 12 * g) + "px"); // 24 px wide at least
  };

  const show = (x, y, w, h) => {
    const k = Math.max(least / Math.max(w, h), Math.min(1, most * whole[2] / w, most * whole[3] / h));
    if (k !== 1) { x += w * (1 - k) / 2; y += h * (1 - k) / 2; w *= k; h *= k; }
    x = Math.min(Math.max(x, whole[0] - w / 2), whole[0] + whole[2] - w / 2);
    y = Math.min(Math.max(y, whole[1] - h / 2), whole[1] + whole[3] - h / 2);
    shown = [x, y, w, h];
    plan.setAttribute("viewBox", shown.map((v) => v.toFixed(2)).join(" "));
    fit();
    clearTimeout(later);
    later = setTimeout(address, 250);
  };

  const address = () => {
    const u = new URL(location.href);
    if (shown.every((v, i) => Math.abs(v - whole[i]) < 0.01)) u.searchParams.delete("show");
    else u.searchParams.set("show", shown.map((v) => v.toFixed(1)).join(" "));
    if (u.href !== location.href) history.replaceState(null, "", u);
  };

  const zoom = (k, x, y) => show(x + (shown[0] - x) * k, y + (shown[1] - y) * k, shown[2] * k, shown[3] * k);
  const middle = () => [shown[0] + shown[2] / 2, shown[1] + shown[3] / 2];
  const move = (x, y) => show(shown[0] + x, shown[1] + y, shown[2], shown[3]);

  const moves = {
    "Closer": () => zoom(1 / step, ...middle()), "Farther": () => zoom(step, ...middle()),
    "Left": () => move(-0.2 * shown[2], 0), "Right": () => move(0.2 * shown[2], 0),
    "Up": () => move(0, -0.2 * shown[3]), "Down": () => move(0, 0.2 * shown[3]),
    "Whole storey": () => show(...whole),
  };
  for (const a of document.querySelectorAll("[data-move]")) {
    a.addEventListener("click", (e) => {
      if (e.ctrlKey || e.metaKey || e.shiftKey) return; // another tab or window: the link itself
      e.preventDefault();
      moves[a.dataset.move]();
    });
  }

  plan.addEventListener("wheel", (e) => {
    e.preventDefault();
    const k = Math.min(2, Math.max(0.5, Math.exp(e.deltaY * (e.deltaMode ? 0.05 : 0.0015))));
    zoom(k, ...at(e.clientX, e.clientY));
  }, { passive: false });

  // Dragging and pinching. A press that has moved the plan opens nothing when it ends.
  const down = new Map();
  let moved = false;
  plan.addEventListener("pointerdown", (e) => {
    if (e.button !== 0) return;
    if (down.size === 0) moved = false;
    down.set(e.pointerId, [e.clientX, e.clientY]);
  });
  plan.addEventListener("pointermove", (e) => {
    const last = down.get(e.pointerId);
    if (!last) return;
    const now = [e.clientX, e.clientY];
    if (!moved && Math.hypot(now[0] - last[0], now[1] - last[1]) < 5 && down.size === 1) return;
    if (!moved) plan.setPointerCapture(e.pointerId);
    moved = true;
    if (down.size === 1) {
      const g = grain();
      move((last[0] - now[0]) * g, (last[1] - now[1]) * g);
    } else {
      const other = [...down].find(([id]) => id !== e.pointerId)[1];
      const before = Math.hypot(last[0] - other[0], last[1] - other[1]), after = Math.hypot(now[0] - other[0], now[1] - other[1]);
      if (after > 0) zoom(before / after, ...at((now[0] + other[0]) / 2, (now[1] + other[1]) / 2));
    }
    down.set(e.pointerId, now);
  });
  for (const end of ["pointerup", "pointercancel"]) plan.addEventListener(end, (e) => down.delete(e.pointerId));
  plan.addEventListener("click", (e) => { if (moved) { e.preventDefault(); moved = false; } }, true);
  plan.addEventListener("dragstart", (e) => e.preventDefault());

  // One stop of the Tab key for the whole plan; arrows walk to the nearest symbol in their direction.
  const place = new Map(items.map((a) => [a, a.dataset.at.split(" ").map(Number)]));
  const stop = (a) => {
    for (const x of items) x.setAttribute("tabindex", x === a ? "0" : "-1");
  };
  const ringed = plan.querySelector(".ring");
  const first = ringed && items.find((a) => a.dataset.at === ringed.getAttribute("cx") + " " + ringed.getAttribute("cy"));
  if (items.length) stop(first || items.find((a) => !a.classList.contains("room")) || items[0]);
  plan.addEventListener("focusin", (e) => {
    const a = e.target.closest("a.item");
    if (a) stop(a);
  });

  const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const next = (from, way) => {
    const [x, y] = place.get(from);
    let best = null, cost = Infinity;
    for (const [a, [u, v]] of place) {
      const along = (u - x) * way[0] + (v - y) * way[1], across = Math.abs((u - x) * way[1]) + Math.abs((v - y) * way[0]);
      const c = along + 2 * across;
      if (a !== from && along > 0.05 && across <= 2 * along && c < cost) { best = a; cost = c; }
    }
    return best;
  };
  const reveal = (a) => {
    const [x, y] = place.get(a), rim = 0.08;
    const out = (v, from, size) => Math.min(0, v - from - rim * size) + Math.max(0, v - from - size + rim * size);
    const dx = out(x, shown[0], shown[2]), dy = out(y, shown[1], shown[3]);
    if (dx || dy) move(dx, dy);
  };
  plan.addEventListener("keydown", (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const here = e.target.closest("a.item");
    if (ways[e.key] && here) {
      const a = next(here, ways[e.key]);
      if (a) { reveal(a); a.focus({ preventScroll: true }); }
    } else if (e.key === "+" || e.key === "=") zoom(1 / step, ...(here ? place.get(here) : middle()));
    else if (e.key === "-") zoom(step, ...(here ? place.get(here) : middle()));
    else if (e.key === "0") show(...whole);
    else if ((e.key === "Home" || e.key === "End") && items.length) {
      const a = items[e.key === "Home" ? 0 : items.length - 1];
      reveal(a);
      a.focus({ preventScroll: true });
    } else return;
    e.preventDefault();
  });

  addEventListener("resize", fit);
  document.querySelector(".hint").hidden = false;
  fit();
})();
