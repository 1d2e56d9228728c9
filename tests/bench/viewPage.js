// Runs in the page that is measured, before anything of its own.

(() => {
  const bench = { firstPictureMs: undefined, acts: [], drag, zoom, watchActs, svgCount };
  globalThis.viewBench = bench;

  const fill = CanvasRenderingContext2D.prototype.fill;
  CanvasRenderingContext2D.prototype.fill = function paint(...args) {
    fill.apply(this, args);
    if (bench.firstPictureMs === undefined && this.canvas.closest(".signal")) bench.firstPictureMs = performance.now();
  };

  /** Drags the signal to and fro, a step a picture of the screen, each marked for the trace. */
  async function drag(steps) {
    const drawing = document.querySelector(".signal > .drawing");
    const { left, top, width } = drawing.getBoundingClientRect();
    const send = (type, x) => {
      const at = { clientX: left + x, clientY: top + 40, pointerId: 1, bubbles: true, button: 0, buttons: 1 };
      drawing.dispatchEvent(new PointerEvent(type, at));
    };
    drawing.setPointerCapture = () => undefined; // no pointer is really there
    for (let i = 0; i < 4; i++) {
      [...document.querySelectorAll("button")].find((one) => one.textContent === "Closer").click();
      await nextPicture();
    }
    send("pointerdown", width / 2);
    for (let i = 0; i < steps; i++) {
      performance.mark("step");
      send("pointermove", width / 2 + 120 * Math.sin(i / 6));
      await nextPicture();
    }
    performance.mark("step");
    send("pointerup", width / 2);
  }

  /** Goes closer and wider by the wheel. */
  async function zoom(steps) {
    const drawing = document.querySelector(".signal > .drawing");
    const { left, top, width } = drawing.getBoundingClientRect();
    for (let i = 0; i < steps; i++) {
      performance.mark("step");
      const at = { clientX: left + width / 3, clientY: top + 40, ctrlKey: true, bubbles: true, cancelable: true };
      drawing.dispatchEvent(new WheelEvent("wheel", { ...at, deltaY: 60 * (Math.floor(i / 15) % 2 === 0 ? -1 : 1) }));
      await nextPicture();
    }
    performance.mark("step");
  }

  function nextPicture() {
    return new Promise((next) => requestAnimationFrame(() => setTimeout(next)));
  }

  /** Keeps what the browser says of everything that somebody does from now on. */
  function watchActs() {
    const observer = new PerformanceObserver((list) => {
      for (const { interactionId, duration } of list.getEntries()) {
        if (interactionId) bench.acts.push({ id: interactionId, duration });
      }
    });
    observer.observe({ type: "event", durationThreshold: 16 });
  }

  function svgCount() {
    return document.querySelectorAll("svg, svg *").length;
  }
})();
