// The report while its spec is watched: what is new is shown, and pose, place on the page and folds are kept.
document.addEventListener("report-ready", ({ detail: report }) => {
  const own = Number(document.body.dataset.live), bar = document.getElementById("live");
  const kept = "buildcheck report";
  const folds = () => [...document.querySelectorAll("details[open] > summary")].map((each) => each.textContent.trim());
  const rows = () => [...document.querySelectorAll("section, tr[id], li[id], figure")];
  const keep = () => {
    // The first row on the screen is the place: what is above it may change in height.
    const first = rows().findLast((row) => row.offsetParent && row.getBoundingClientRect().top <= 40);
    sessionStorage.setItem(kept, JSON.stringify({
      pose: report.pose(), folds: folds(), y: window.scrollY,
      row: first && (first.id || first.className), top: first && first.getBoundingClientRect().top,
    }));
  };
  const restore = () => {
    const held = JSON.parse(sessionStorage.getItem(kept) || "null");
    if (!held) return;
    sessionStorage.removeItem(kept);
    for (const each of document.querySelectorAll("details > summary")) {
      if (held.folds.includes(each.textContent.trim())) each.parentNode.open = true;
    }
    report.show(held.pose);
    const row = rows().find((each) => held.row && (each.id || each.className) === held.row);
    window.scrollTo({ top: row ? window.scrollY + row.getBoundingClientRect().top - held.top : held.y, behavior: "instant" });
  };
  const line = (text) => Object.assign(document.createElement("li"), { textContent: text });
  const show = ({ page, says, slips }) => {
    if (page !== own) { keep(); location.reload(); return false; }
    bar.querySelector("p").textContent = slips.length
      ? "The spec as it is saved now is not used, and this is still the report of the last good one:" : says;
    bar.querySelector("ul").replaceChildren(...slips.map(line));
    bar.classList.toggle("slips", slips.length > 0);
    return true;
  };
  const ask = async (after) => {
    for (;;) {
      try {
        const answer = await fetch(`state?after=${after}`, { cache: "no-store" });
        const state = await answer.json();
        after = state.number;
        if (!show(state)) return;
      } catch {
        bar.querySelector("p").textContent = "The command has ended: this page no longer follows the spec.";
        return;
      }
    }
  };
  history.scrollRestoration = "manual";
  restore();
  ask(0);
});
