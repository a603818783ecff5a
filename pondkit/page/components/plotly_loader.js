// Puts plotly's script into the page once; the pictures wait for the event.
export default function ({ data, setStateValue }) {
  if (!window.Plotly) {
    if (!data) return;
    const script = document.createElement("script");
    script.textContent = new TextDecoder().decode(data);
    document.head.append(script);
    script.remove();
    // At the resolution of the screen: plotly draws three dimensions at twice that, which takes four times as long.
    window.Plotly.setPlotConfig({ plotGlPixelRatio: Math.min(Math.max(window.devicePixelRatio, 1), 2) });
    window.dispatchEvent(new CustomEvent("pondkit:plotly"));
  }
  if (data) setStateValue("loaded", true); // the script is not sent again
}
