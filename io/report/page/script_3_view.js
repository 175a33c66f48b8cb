"use strict";
// The window on the plan: nearer, farther, and to all sides, by buttons, keys, drag and fingers.
report.view = (() => {
  const frame = report.byId("plan-window");
  const drawing = frame.querySelector("svg");
  const box = drawing.viewBox.baseVal;
  const whole = { x: box.x, y: box.y, width: box.width, height: box.height };
  const most = Math.max(8, Math.sqrt(drawing.querySelectorAll("[id]").length) * 1.5);
  let now = { ...whole };

  const perPixel = () => now.width / drawing.getBoundingClientRect().width;
  function set(x, y, width) {
    width = Math.min(whole.width, Math.max(whole.width / most, width));
    const height = (width * whole.height) / whole.width;
    now = {
      x: Math.min(whole.x + whole.width - width, Math.max(whole.x, x)),
      y: Math.min(whole.y + whole.height - height, Math.max(whole.y, y)),
      width, height,
    };
    drawing.setAttribute("viewBox", [now.x, now.y, now.width, now.height].join(" "));
    drawing.style.transform = "";
    frame.classList.toggle("near", width < whole.width * 0.999);
  }
  // `share` of the width stays; the place under (px, py) of the frame stays where it is.
  function zoom(share, px, py) {
    const size = drawing.getBoundingClientRect();
    const across = (px ?? size.width / 2) / size.width, down = (py ?? size.height / 2) / size.height;
    const width = Math.min(whole.width, Math.max(whole.width / most, now.width * share));
    const height = (width * whole.height) / whole.width;
    set(now.x + across * (now.width - width), now.y + down * (now.height - height), width);
  }
  const move = (across, down) => set(now.x + across * now.width, now.y + down * now.height, now.width);
  const showWhole = () => set(whole.x, whole.y, whole.width);
  // Brings a thing to the middle where it is not well inside.
  function bring(element) {
    const size = drawing.getBoundingClientRect(), at = element.getBoundingClientRect();
    const x = now.x + (at.x + at.width / 2 - size.x) * perPixel(), y = now.y + (at.y + at.height / 2 - size.y) * perPixel();
    const edge = now.width * 0.1;
    const inside = x > now.x + edge && x < now.x + now.width - edge && y > now.y + edge && y < now.y + now.height - edge;
    if (!inside) set(x - now.width / 2, y - now.height / 2, now.width);
  }

  // While a finger or the pointer drags, the picture is only shifted; the viewBox follows at rest.
  const fingers = new Map();
  let start = null;
  const distance = () => {
    const [a, b] = [...fingers.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };
  frame.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    start = { x: event.clientX, y: event.clientY, moved: false, apart: fingers.size === 2 ? distance() : 0 };
  });
  frame.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId) || !start) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    const rect = frame.getBoundingClientRect();
    if (fingers.size === 2) {
      const [a, b] = [...fingers.values()], apart = distance();
      if (Math.abs(apart - start.apart) < 12) return;
      zoom(start.apart / apart, (a.x + b.x) / 2 - rect.x, (a.y + b.y) / 2 - rect.y);
      start = { ...start, apart, moved: true };
      return;
    }
    const across = event.clientX - start.x, down = event.clientY - start.y;
    if (!start.moved && Math.hypot(across, down) < 5) return;
    if (!frame.classList.contains("near")) return;
    if (!start.moved) frame.setPointerCapture(event.pointerId);
    start.moved = true;
    drawing.style.transform = `translate(${across}px, ${down}px)`;
  });
  function release(event) {
    if (!fingers.delete(event.pointerId) || !start) return;
    if (start.moved && drawing.style.transform) {
      const scale = perPixel();
      set(now.x - (event.clientX - start.x) * scale, now.y - (event.clientY - start.y) * scale, now.width);
    }
    report.dragged = start.moved;
    if (fingers.size === 0) start = null;
  }
  frame.addEventListener("pointerup", release);
  frame.addEventListener("pointercancel", release);
  frame.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return; // the wheel alone goes on through the page
    event.preventDefault();
    const rect = frame.getBoundingClientRect();
    zoom(event.deltaY > 0 ? 1.25 : 0.8, event.clientX - rect.x, event.clientY - rect.y);
  }, { passive: false });
  const keys = {
    ArrowLeft: () => move(-0.15, 0), ArrowRight: () => move(0.15, 0), ArrowUp: () => move(0, -0.15), ArrowDown: () => move(0, 0.15),
    "+": () => zoom(0.7), "=": () => zoom(0.7), "-": () => zoom(1 / 0.7), 0: showWhole,
  };
  frame.addEventListener("keydown", (event) => {
    const act = event.ctrlKey || event.metaKey || event.altKey ? null : keys[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
  report.byId("nearer").addEventListener("click", () => zoom(0.7));
  report.byId("farther").addEventListener("click", () => zoom(1 / 0.7));
  report.byId("whole").addEventListener("click", showWhole);
  return { frame, drawing, zoom, move, bring, showWhole, width: () => now.width / whole.width };
})();
