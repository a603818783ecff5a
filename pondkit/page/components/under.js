// A picture under a plot, in the plot's own coordinates: it follows zoom, pan and drag.

class Under {
  constructor(frame, plot) {
    this.plot = plot;
    this.svg = make("svg", frame, { class: "pondkit-under", "aria-hidden": "true" });
    frame.prepend(this.svg);
    this.image = make("image", this.svg, { preserveAspectRatio: "none" });
    this.under = null;
  }

  show(under) {
    this.under = under;
    this.svg.style.display = under ? "" : "none";
    this.place();
  }

  place() {
    const layout = this.plot._fullLayout;
    if (!this.under || !layout?.xaxis?.l2p) return;
    const url = window.pondkitBackdrops?.get(this.under.name) ?? "";
    if (url !== this.url) this.image.setAttribute("href", (this.url = url));
    const { x, y, width, height, turn_deg, strength } = this.under;
    const { xaxis, yaxis } = layout;
    const pixels = xaxis._length / (xaxis.range[1] - xaxis.range[0]); // of one unit
    const at = [xaxis._offset + xaxis.l2p(x), yaxis._offset + yaxis.l2p(y)];
    const [wide, high] = [width * pixels, height * pixels];
    for (const [name, value] of Object.entries({ x: -wide / 2, y: -high / 2, width: wide, height: high, opacity: strength })) {
      this.image.setAttribute(name, value);
    }
    this.image.setAttribute("transform", `translate(${at}) rotate(${-turn_deg})`);
    const [left, top] = [xaxis._offset, yaxis._offset];
    const [right, foot] = [this.plot.clientWidth - left - xaxis._length, this.plot.clientHeight - top - yaxis._length];
    this.svg.style.clipPath = `inset(${top}px ${right}px ${foot}px ${left}px)`;
  }
}
