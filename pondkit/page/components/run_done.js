// Tells the sliders that a run has reached its end, so that the next value of a drag may go out.
export default function ({ data }) {
  window.pondkitRuns = data.run;
  window.dispatchEvent(new CustomEvent("pondkit:run-done"));
}
