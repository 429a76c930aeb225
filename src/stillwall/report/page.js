"use strict";
document.documentElement.classList.add("scripted");
document.addEventListener("DOMContentLoaded", () => {
  const buttons = document.querySelectorAll("[data-show]");
  for (const button of buttons) {
    button.addEventListener("click", () => {
      for (const other of buttons) {
        other.setAttribute("aria-pressed", String(other === button));
      }
      for (const row of document.querySelectorAll(".ranking tbody tr")) {
        row.hidden = button.dataset.show !== "all" && row.dataset.verdict !== button.dataset.show;
      }
    });
  }
});
