// Tells when a run of the page has ended. After partial runs it asks for a run of the whole page once the hand rests.

const REST = 300; // ms without a further run or press

// part, whole: numbers of the last partial run and the last whole run. Their marks may arrive together, in any order.
const beat = (window.pondkitBeat ??= { timer: 0, held: false, ask: null, due: false, part: 0, whole: 0 });
addEventListener("pointerdown", () => { beat.held = true; }, true);
// An open list of choices swallows the release of the pointer; a change, or a pointer that moves unpressed, shows that it is up.
for (const name of ["pointerup", "pointercancel", "change"]) addEventListener(name, () => { beat.held = false; }, true);
addEventListener("pointermove", (event) => { if (!event.buttons) beat.held = false; }, true);

function wait() {
  clearTimeout(beat.timer);
  beat.due = true;
  beat.timer = setTimeout(() => (beat.held ? wait() : beat.ask?.()), REST);
}

function announceRun(run) {
  window.pondkitRuns = run;
  window.dispatchEvent(new CustomEvent("pondkit:run-done"));
}

function markPartialRun(run) {
  if (run <= beat.whole) return; // no partial run since
  beat.part = run;
  wait();
  announceRun(run);
}

function markWholeRun(run, ask) {
  beat.whole = run;
  if (run > beat.part) {
    clearTimeout(beat.timer);
    beat.due = false;
  }
  beat.ask = ask;
  announceRun(run);
}
