// Notes when a key or the mouse goes down on a slider, when the first key figure changes, and when a picture is drawn.
() => {
  const seen = (window.seen = { input: 0, figures: [], drawn: [[], []], stale: 0 });
  for (const name of ["keydown", "pointerdown"]) {
    window.addEventListener(name, () => { seen.input = performance.now(); }, true);
  }
  const first = () => document.querySelector(".pk-figures b")?.textContent;
  let text = first();
  new MutationObserver(() => {
    const now = first();
    if (now !== undefined && now !== text) {
      text = now;
      seen.figures.push(performance.now());
    }
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
  document.querySelectorAll(".pondkit-plot").forEach((plot, index) => {
    if (index > 1) return;
    plot.addEventListener("pondkit:drawn", () => {
      seen.drawn[index].push(performance.now());
      if (plot.closest(".pondkit-stale")) seen.stale += 1; // a problem of the design: nothing is drawn anew
    });
  });
}
