"use strict";
document.documentElement.classList.add("scripted");
for (const button of document.querySelectorAll("[data-units]")) {
  button.addEventListener("click", () => {
    const system = button.dataset.units;
    for (const other of document.querySelectorAll("[data-units]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
    for (const figure of document.querySelectorAll("[data-us][data-si]")) {
      figure.textContent = figure.dataset[system];
    }
  });
}
for (const button of document.querySelectorAll("[data-show]")) {
  button.addEventListener("click", () => {
    for (const other of document.querySelectorAll("[data-show]")) {
      other.setAttribute("aria-pressed", String(other === button));
    }
    for (const row of document.querySelectorAll(".ranking tbody tr")) {
      row.hidden = button.dataset.show !== "all" && row.dataset.verdict !== button.dataset.show;
    }
  });
}
