"use strict";
for (const pair of document.querySelectorAll(".pair:not(.one)")) {
  const slider = pair.querySelector("input");
  const show = () => {
    pair.style.setProperty("--at", `${slider.value}%`);
    slider.setAttribute("aria-valuetext", `before ${slider.value} %, after ${100 - slider.value} %`);
  };
  const follow = (event) => {
    const box = pair.getBoundingClientRect();
    slider.value = Math.round((100 * (event.clientX - box.left)) / box.width);
    show();
  };
  // a finger or a pen may begin anywhere on the picture; a mouse is followed by the slider itself
  slider.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "mouse") follow(event);
  });
  slider.addEventListener("pointermove", (event) => {
    if (event.pointerType !== "mouse" && event.buttons) follow(event);
  });
  slider.addEventListener("input", show);
  slider.hidden = false;
  show();
}
document.body.classList.add("live");
