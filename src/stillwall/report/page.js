"use strict";
const page = document.documentElement;
page.classList.add("scripted");
const rows = () => [...document.querySelectorAll(".ranking tbody tr")];
const choices = {
  units: (wanted) => {
    page.dataset.units = wanted;
  },
  show: (wanted) => {
    for (const row of rows()) {
      row.hidden = wanted !== "all" && row.dataset.verdict !== wanted;
    }
  },
  sort: (wanted) => {
    const name = (row) => row.querySelector("th").textContent;
    const orders = {
      rank: (one, two) => one.dataset.rank - two.dataset.rank,
      name: (one, two) => name(one).localeCompare(name(two), "en"),
      load: (one, two) => two.dataset.load - one.dataset.load || one.dataset.rank - two.dataset.rank,
    };
    const sorted = rows().sort(orders[wanted]);
    document.querySelector(".ranking tbody").append(...sorted);
  },
};
document.addEventListener("DOMContentLoaded", () => {
  for (const [choice, choose] of Object.entries(choices)) {
    const buttons = document.querySelectorAll(`button[data-${choice}]`);
    for (const button of buttons) {
      button.addEventListener("click", () => {
        for (const other of buttons) {
          other.setAttribute("aria-pressed", String(other === button));
        }
        choose(button.dataset[choice]);
      });
    }
  }
});
