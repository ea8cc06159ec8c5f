// The only script of the desk. Everything works without it; with it the drawing mirrors the boxes, what follows from a form is
// shown while it is filled in, and a pile tells how far it is. It keeps nothing, and asks nobody but the desk.
const all = (what, where = document) => [...where.querySelectorAll(what)];
document.documentElement.classList.add("scripted");

// what went wrong takes the focus, once
document.querySelector("[data-focus]")?.focus();

// ---- a pile that is being made
const printing = document.querySelector("[data-printing]");
if (printing?.dataset.printing) {
  const address = new URL("day/printing", document.baseURI);
  address.searchParams.set("date", printing.dataset.printing);
  const look = async () => {
    const said = await fetch(address).then((answer) => (answer.ok ? answer.json() : null)).catch(() => null);
    if (said && !said.running) return location.reload();
    if (said) {
      printing.querySelector("h2").textContent = said.title;
      printing.querySelector("progress").value = said.done;
      printing.querySelector(".last").textContent = said.last;
    }
    setTimeout(look, 300);
  };
  setTimeout(look, 300);
}

// ---- a paper that is dropped
const file = document.querySelector('input[type="file"]');
if (file) {
  addEventListener("dragover", (event) => event.preventDefault());
  addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer.files.length !== 1) return;
    file.files = event.dataTransfer.files;
    file.form.requestSubmit();
  });
}

// ---- a visit
const form = document.querySelector("form.visit");
const boxes = form ? all('.pick input[type="checkbox"]', form) : [];
if (form && boxes.length) {
  const byName = (name) => all(`[name="${CSS.escape(name)}"]`, form);
  const fieldsOf = (id) => form.querySelector(`[data-area-fields="${CSS.escape(id)}"]`);
  const sideOf = (id) => {
    const chosen = byName(`area.${id}.side`).find((one) => one.type !== "radio" || one.checked);
    return chosen ? chosen.value : "";
  };
  const hasSides = (id) => byName(`area.${id}.side`).some((one) => one.type === "radio");

  // the boxes are the truth, the drawing follows
  const mirror = () => {
    let number = 0;
    for (const box of boxes) {
      const id = box.value;
      const mine = box.checked ? String(++number) : "";
      const side = sideOf(id);
      for (const zone of all(`.zone[data-area="${CSS.escape(id)}"]`, form)) {
        const own = zone.dataset.side;
        const planned = box.checked && (!hasSides(id) || side === "both" || side === own || (side === "" && own === "left"));
        zone.classList.toggle("on", planned);
      }
      for (const pointer of all(`[data-pointer="${CSS.escape(id)}"]`, form)) {
        pointer.classList.toggle("on", box.checked);
        pointer.querySelector("text").textContent = mine;
      }
      box.closest("li").querySelector(".disc").textContent = mine;
      const fields = fieldsOf(id);
      if (fields) {
        fields.hidden = !box.checked;
        fields.disabled = !box.checked;
        fields.querySelector(".disc").textContent = mine;
      }
    }
  };

  // a click on the drawing is a click on the box, and on the side where there are two
  for (const zone of all(".zone", form)) {
    zone.addEventListener("click", () => {
      const { area, side } = zone.dataset;
      const box = boxes.find((one) => one.value === area);
      const choose = (to) => {
        const radio = byName(`area.${area}.side`).find((one) => one.value === to);
        if (radio) radio.checked = true;
      };
      const was = sideOf(area);
      if (!box.checked) {
        box.checked = true;
        if (hasSides(area)) choose(side);
      } else if (!hasSides(area) || was === side) {
        box.checked = false;
      } else {
        const other = side === "left" ? "right" : "left";
        choose(was === "both" ? other : "both");
      }
      box.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }

  const root = document.querySelector('link[rel="stylesheet"]').href.replace(/desk\.css$/, "");
  const beside = document.getElementById("beside");
  const sent = () => new URLSearchParams(new FormData(form));
  let asked = 0;
  let waiting = null;

  const counts = () => {
    for (const group of all(".questions", form)) {
      const shown = all(".q", group).filter((question) => !question.hidden).length;
      group.querySelector(".count").textContent = `(${shown})`;
    }
  };

  // what follows: the latest form wins, and what is being typed in is left alone
  const workOut = async (extra) => {
    const mine = ++asked;
    const body = sent();
    for (const [name, value] of extra ?? []) body.append(name, value);
    const said = await fetch(`${root}visit/work-out`, { method: "POST", body }).then((a) => (a.ok ? a.json() : null)).catch(() => null);
    if (mine !== asked) return;
    beside.removeAttribute("aria-busy");
    if (!said) return;
    if (!beside.contains(document.activeElement) || extra) beside.innerHTML = said.beside;
    showPlaces();
    const state = document.getElementById("state");
    state.innerHTML = "";
    const box = document.createElement("span");
    box.className = `state ${said.frame}`;
    box.textContent = said.state;
    state.append(box);
    for (const question of all(".q", form)) {
      const matters = said.matter.includes(question.dataset.fact);
      const value = question.querySelector("input:checked")?.value;
      question.hidden = !matters && value === "not-asked";
    }
    for (const [name, note] of Object.entries(said.notes)) {
      const place = document.getElementById(`${name}-note`);
      if (place) {
        place.textContent = note;
        place.hidden = false;
      }
    }
    // mistakes go as soon as they are mended; new ones are told when the field is left
    for (const place of all(".mistake", form)) {
      const name = place.id.replace(/-mistake$/, "");
      const found = said.mistakes[name];
      const field = form.querySelector(`[data-field="${CSS.escape(name)}"]`);
      const touched = field?.dataset.left === "yes" || !place.hidden;
      const tell = Boolean(found) && touched;
      place.hidden = !tell;
      place.textContent = tell ? found.join(" ") : "";
      field?.classList.toggle("bad", tell);
    }
    counts();
    form.dataset.workedOut = String(mine);
  };

  // where each caution is printed, as soon as the pages are laid out
  let places = {};
  const showPlaces = () => {
    for (const article of all("[data-caution]", beside)) {
      const place = places[article.dataset.caution];
      for (const part of all(".printed", article)) part.hidden = !place;
      const home = article.querySelector("dd.printed");
      if (!place || !home) continue;
      const link = document.createElement("a");
      link.href = place.picture;
      link.dataset.page = "";
      link.textContent = place.said;
      // the picture of the same page further down is a link of this name, too
      const about = document.createElement("span");
      about.className = "hidden";
      about.textContent = `: ${article.querySelector("h3").textContent}`;
      link.append(about);
      home.replaceChildren(link);
    }
  };

  let pagesAsked = 0;
  const pages = document.getElementById("pages");
  const showPages = async () => {
    const mine = ++pagesAsked;
    const said = await fetch(`${root}visit/preview`, { method: "POST", body: sent() }).then((a) => (a.ok ? a.json() : null)).catch(() => null);
    if (!said || mine !== pagesAsked) return;
    pages.innerHTML = said.papers;
    places = said.places ?? {};
    showPlaces();
  };
  let pagesWaiting = null;
  const later = () => {
    // until it is worked out anew, what stands there is of an older form
    beside.setAttribute("aria-busy", "true");
    clearTimeout(waiting);
    waiting = setTimeout(() => workOut(), 60);
    clearTimeout(pagesWaiting);
    pagesWaiting = setTimeout(showPages, 900);
  };

  form.addEventListener("input", later);
  form.addEventListener("change", () => {
    mirror();
    later();
  });
  form.addEventListener("focusout", (event) => {
    const field = event.target.closest("[data-field]");
    if (field && event.target.value !== "") field.dataset.left = "yes";
  });
  // an answer is recorded, or taken back, without leaving the page; saving is another matter
  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (button?.name === "desk.forget") {
      event.preventDefault();
      for (const kept of all(`input[name^="answer.${button.value}."]`, form)) kept.remove();
      workOut([["desk.forget", button.value]]);
    }
  });
  counts();
  mirror();
  showPages();
}

// ---- a page, large; a click on a sentence says why it is there
document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-page]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const words = document.querySelector("[data-close]")?.dataset ?? {};
  const address = new URL(link.href);
  const dialog = document.createElement("dialog");
  dialog.className = "big-page";
  const picture = document.createElement("img");
  picture.src = address;
  picture.alt = link.querySelector("img")?.alt ?? link.textContent;
  const close = document.createElement("button");
  close.textContent = words.close ?? "×";
  close.addEventListener("click", () => dialog.close());
  const told = document.createElement("div");
  told.className = "why";
  told.setAttribute("role", "status");
  const say = (...lines) => {
    told.replaceChildren(
      ...lines.filter(Boolean).map((line) => {
        const p = document.createElement("p");
        p.textContent = line;
        return p;
      }),
    );
  };
  say(words.click);
  const where = new URL(address.pathname.replace("/visit/page/", "/visit/at/").replace(/\.svg$/, ""), address);
  const ask = (place) => fetch(place).then((answer) => (answer.ok ? answer.json() : null)).catch(() => null);
  const point = (found) => {
    if (!found) return say(words.click);
    say(found.text, found.why, found.source);
    address.searchParams.set("at", found.statement);
    picture.src = address;
  };
  picture.addEventListener("click", async (press) => {
    const place = new URL(where);
    place.searchParams.set("x", press.offsetX / picture.clientWidth);
    place.searchParams.set("y", press.offsetY / picture.clientHeight);
    point(await ask(place));
  });
  // the same for somebody who does not point: every sentence of the page, from the top
  const choice = document.createElement("select");
  choice.setAttribute("aria-label", words.sentences ?? "");
  ask(where).then((all) => {
    const none = new Option(words.sentences ?? "", "");
    choice.append(none, ...(all ?? []).map((one, at) => new Option(one.text.slice(0, 90), String(at))));
    choice.addEventListener("change", () => point(all[Number(choice.value)]));
  });
  dialog.setAttribute("aria-label", picture.alt);
  dialog.append(close, choice, told, picture);
  dialog.addEventListener("close", () => {
    dialog.remove();
    link.focus();
  });
  document.body.append(dialog);
  dialog.showModal();
});
