// Marks the end of a run of the whole page, and asks for one.
export default function ({ data, setTriggerValue }) {
  markWholeRun(data.run, () => setTriggerValue("beat", data.run));
}
