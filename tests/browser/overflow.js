// Everything that sticks out of the window to the right, but for what scrolls within a box of its own.
const scrolls = (element) => {
  for (let e = element; e; e = e.parentElement) if (/auto|scroll|hidden/.test(getComputedStyle(e).overflowX)) return true;
  return false;
};
const root = document.documentElement;
const out = [...document.querySelectorAll('body *')]
  .filter((e) => !scrolls(e) && !e.closest('.vh,.skip,.defs,svg') && e.getBoundingClientRect().right > innerWidth + 1)
  .map((e) => `${e.getAttribute('class') || e.tagName}: ${e.textContent.slice(0, 30)}`);
return root.scrollWidth > root.clientWidth ? [`the page is ${root.scrollWidth} wide`, ...out] : out;
