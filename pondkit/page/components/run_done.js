// Tells the sliders that a run has reached its end, so that the next value of a drag may go out. After runs of the part that
// follows the hand it asks for a run of the whole page once the hand rests.

const REST = 300; // ms without a further run or press

const beat = (window.pondkitBeat ??= { timer: 0, held: false, ask: null, due: false });
addEventListener("pointerdown", () => { beat.held = true; }, true);
for (const name of ["pointerup", "pointercancel"]) addEventListener(name, () => { beat.held = false; }, true);

function wait() {
  clearTimeout(beat.timer);
  beat.due = true;
  beat.timer = setTimeout(() => (beat.held ? wait() : beat.ask?.()), REST);
}

export default function ({ data, setTriggerValue }) {
  if (data.part) {
    if (data.run === 0) return; // the page has not run in parts yet
    wait();
  } else {
    clearTimeout(beat.timer);
    beat.due = false;
    beat.ask = () => setTriggerValue("beat", data.run);
  }
  window.pondkitRuns = data.run;
  window.dispatchEvent(new CustomEvent("pondkit:run-done"));
}
