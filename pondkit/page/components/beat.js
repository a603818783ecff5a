// When runs end. After runs of the part that follows the hand the whole page is asked for once the hand rests.

const REST = 300; // ms without a further run or press

// part, whole: numbers of the last run of either kind, as the marks of two runs may come together, in any order.
const beat = (window.pondkitBeat ??= { timer: 0, held: false, ask: null, due: false, part: 0, whole: 0 });
addEventListener("pointerdown", () => { beat.held = true; }, true);
// A list of choices takes the release for itself: a change, or a pointer that moves unpressed, tells of it.
for (const name of ["pointerup", "pointercancel", "change"]) addEventListener(name, () => { beat.held = false; }, true);
addEventListener("pointermove", (event) => { if (!event.buttons) beat.held = false; }, true);

function wait() {
  clearTimeout(beat.timer);
  beat.due = true;
  beat.timer = setTimeout(() => (beat.held ? wait() : beat.ask?.()), REST);
}

function tell_beat(run) {
  window.pondkitRuns = run;
  window.dispatchEvent(new CustomEvent("pondkit:run-done"));
}

function beat_part(run) {
  if (run <= beat.whole) return; // the page has not run in parts since
  beat.part = run;
  wait();
  tell_beat(run);
}

function beat_whole(run, ask) {
  beat.whole = run;
  if (run > beat.part) {
    clearTimeout(beat.timer);
    beat.due = false;
  }
  beat.ask = ask;
  tell_beat(run);
}
