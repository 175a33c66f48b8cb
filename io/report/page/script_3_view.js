"use strict";
// The window on the plan: nearer, farther, and to all sides, by buttons, keys, drag and fingers. The drawing
// itself never changes, it is only shifted and enlarged: so a plan of thousands of heads follows the hand.
report.view = (() => {
  const frame = report.byId("plan-window");
  const drawing = frame.querySelector("svg");
  const sheet = report.byId("plan-sheet");
  const most = Math.max(8, Math.sqrt(drawing.querySelectorAll("g[id]").length) * 1.5);
  // Enlarged so many times; its upper left corner, as shares of the frame's width and height.
  let now = { scale: 1, x: 0, y: 0 };
  const inside = (value, least, greatest) => Math.min(greatest, Math.max(least, value));
  const size = () => ({ width: frame.clientWidth, height: frame.clientHeight });

  function put() {
    const { width, height } = size();
    sheet.style.transform = now.scale === 1 ? "" : `translate(${now.x * width}px, ${now.y * height}px) scale(${now.scale})`;
    frame.classList.toggle("near", now.scale > 1);
  }
  function set(scale, x, y) {
    const to = inside(scale, 1, most);
    now = { scale: to, x: inside(x, 1 - to, 0), y: inside(y, 1 - to, 0) };
    put();
  }
  // The place under (px, py) of the frame stays where it is.
  function zoom(times, px, py) {
    const { width, height } = size(), to = inside(now.scale * times, 1, most);
    const across = (px ?? width / 2) / width, down = (py ?? height / 2) / height;
    set(to, across - ((across - now.x) * to) / now.scale, down - ((down - now.y) * to) / now.scale);
  }
  const move = (across, down) => set(now.scale, now.x - across, now.y - down);
  const showWhole = () => set(1, 0, 0);
  // Brings a thing to the middle where it is not well inside.
  function bring(element) {
    const { width, height } = size(), window = frame.getBoundingClientRect(), at = element.getBoundingClientRect();
    const across = (at.x + at.width / 2 - window.x) / width, down = (at.y + at.height / 2 - window.y) / height;
    if (across < 0.1 || across > 0.9 || down < 0.1 || down > 0.9) move(across - 0.5, down - 0.5);
  }

  const fingers = new Map();
  let start = null;
  const apart = () => {
    const [a, b] = [...fingers.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };
  frame.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    start = { x: event.clientX, y: event.clientY, from: now, moved: false, apart: fingers.size === 2 ? apart() : 0 };
    report.dragged = false;
  });
  frame.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId) || !start) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (fingers.size === 2) {
      const [a, b] = [...fingers.values()], window = frame.getBoundingClientRect(), distance = apart();
      if (Math.abs(distance - start.apart) < 8) return;
      zoom(distance / start.apart, (a.x + b.x) / 2 - window.x, (a.y + b.y) / 2 - window.y);
      start = { ...start, apart: distance, moved: true };
      return;
    }
    const across = event.clientX - start.x, down = event.clientY - start.y;
    if (now.scale === 1 || (!start.moved && Math.hypot(across, down) < 5)) return;
    if (!start.moved) {
      frame.setPointerCapture(event.pointerId);
      frame.classList.add("dragged"); // a layer of its own while it moves: it is not painted again
    }
    start.moved = true;
    const { width, height } = size();
    set(now.scale, start.from.x + across / width, start.from.y + down / height);
  });
  function release(event) {
    if (!fingers.delete(event.pointerId) || !start) return;
    report.dragged = start.moved;
    frame.classList.remove("dragged");
    if (fingers.size === 0) start = null;
  }
  frame.addEventListener("pointerup", release);
  frame.addEventListener("pointercancel", release);
  frame.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return; // the wheel alone goes on through the page
    event.preventDefault();
    const window = frame.getBoundingClientRect();
    zoom(event.deltaY > 0 ? 0.8 : 1.25, event.clientX - window.x, event.clientY - window.y);
  }, { passive: false });
  const nearer = 1.4;
  const keys = {
    ArrowLeft: () => move(-0.15, 0), ArrowRight: () => move(0.15, 0), ArrowUp: () => move(0, -0.15), ArrowDown: () => move(0, 0.15),
    "+": () => zoom(nearer), "=": () => zoom(nearer), "-": () => zoom(1 / nearer), 0: showWhole,
  };
  frame.addEventListener("keydown", (event) => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? null : keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
  report.byId("nearer").addEventListener("click", () => zoom(nearer));
  report.byId("farther").addEventListener("click", () => zoom(1 / nearer));
  report.byId("whole").addEventListener("click", showWhole);
  const elevations = report.byId("elevations"); // not there where they would find no room
  elevations?.addEventListener("change", () => {
    drawing.classList.toggle("with-elevations", elevations.checked);
    const seen = [...drawing.querySelectorAll(".elevations text")].some((text) => text.getBoundingClientRect().width > 0);
    report.byId("elevations-said").textContent = elevations.checked && !seen ? "No room for them here; they stand in the tables." : "";
  });
  window.addEventListener("resize", put);
  return { frame, drawing, zoom, move, bring, showWhole, state: () => ({ ...now }) };
})();
