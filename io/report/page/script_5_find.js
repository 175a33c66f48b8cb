"use strict";
// Find a thing by its id: those that begin with what is typed, then those that have it in them.
(() => {
  const { byId, things } = report;
  const field = byId("find"), list = byId("found");
  const most = 12;
  let index = null, options = [], at = -1;

  function build() {
    index = [];
    for (const [rowId, row] of things.rows()) {
      const kind = rowId.split("-")[1];
      if (kind === "run") continue;
      const name = row.cells[0].textContent;
      index.push({ thing: rowId.slice(4), kind, name, small: name.toLowerCase() });
    }
  }
  function close() {
    list.hidden = true;
    field.setAttribute("aria-expanded", "false");
    field.removeAttribute("aria-activedescendant");
  }
  function mark(to) {
    at = to;
    [...list.children].forEach((option, i) => option.setAttribute("aria-selected", String(i === at)));
    if (at >= 0) {
      field.setAttribute("aria-activedescendant", list.children[at].id);
      list.children[at].scrollIntoView({ block: "nearest" });
    }
  }
  function pick(i) {
    const option = options[i];
    if (!option) return;
    field.value = option.name;
    close();
    const element = byId(option.thing);
    if (element) things.choose(element, true);
  }
  function look() {
    if (!index) build();
    const text = field.value.trim().toLowerCase();
    options = [];
    if (text) {
      for (const entry of index) if (entry.small.startsWith(text) && options.length < most) options.push(entry);
      for (const entry of index)
        if (options.length < most && entry.small.includes(text) && !entry.small.startsWith(text)) options.push(entry);
      options.sort((a, b) => (b.small === text) - (a.small === text));
    }
    list.replaceChildren(...options.map((entry, i) => {
      const option = document.createElement("span");
      option.setAttribute("role", "option");
      option.id = "found-" + i;
      option.textContent = entry.kind + " " + entry.name;
      option.addEventListener("pointerdown", (event) => {
        event.preventDefault();
        pick(i);
      });
      return option;
    }));
    if (options.length === 0) return close();
    list.hidden = false;
    field.setAttribute("aria-expanded", "true");
    mark(0);
  }
  field.addEventListener("input", look);
  field.addEventListener("blur", close);
  field.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown" && options.length) mark((at + 1) % options.length);
    else if (event.key === "ArrowUp" && options.length) mark((at + options.length - 1) % options.length);
    else if (event.key === "Enter") pick(at);
    else if (event.key === "Escape") close();
    else return;
    event.preventDefault();
  });
})();
