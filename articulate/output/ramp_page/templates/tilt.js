"use strict";
// Roll of the body from the phone's own tilt sensor, where there is one and its owner allows it. The phone lies or
// stands in the vehicle with its long edge forward: what counts is how far its right edge hangs below its left one.
const tilt = (() => {
  let heard = null; // [rad], left side up positive
  let on = false;
  const self = {
    offered: "DeviceOrientationEvent" in window,
    get reading() { return heard; },
    get on() { return on; },
    async start() {
      if (on) return "";
      try {
        if (typeof DeviceOrientationEvent.requestPermission === "function") {
          if ((await DeviceOrientationEvent.requestPermission()) !== "granted") return "The phone did not allow it.";
        }
      } catch {
        return "The phone did not allow it.";
      }
      window.addEventListener("deviceorientation", (event) => {
        if (event.beta === null || event.gamma === null) return;
        heard = Math.asin(Math.cos(event.beta * DEGREE) * Math.sin(event.gamma * DEGREE));
      });
      on = true;
      return "";
    },
  };
  return self;
})();
