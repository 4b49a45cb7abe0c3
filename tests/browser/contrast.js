// Contrast of every visible text against what lies behind it (WCAG 2.2, 1.4.3), and of drawn marks against the paper (1.4.11).
const parse = (text) => { const n = text.match(/[\d.]+/g).map(Number); return n.length > 3 ? n : [...n, 1]; };
const luminance = ([r, g, b]) => {
  const linear = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
  return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
};
const over = (top, under) => [0, 1, 2].map((i) => top[i] * top[3] + under[i] * (1 - top[3]));
const ratio = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
const behind = (element) => {
  const layers = [];
  for (let e = element; e; e = e.parentElement) layers.push(parse(getComputedStyle(e).backgroundColor));
  return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255]);
};
const failures = [];
let measured = 0;
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const node = walker.currentNode, element = node.parentElement;
  if (!node.data.trim() || element.closest('script,.vh,.defs,[hidden]')) continue;
  const box = element.getBoundingClientRect();
  if (!box.width || !box.height || !element.checkVisibility()) continue;
  const style = getComputedStyle(element), drawn = element instanceof SVGElement;
  const paper = behind(element), ink = over(parse(drawn ? style.fill : style.color), paper);
  const size = parseFloat(style.fontSize), large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
  const found = ratio(ink, paper);
  measured += 1;
  if (found < (large ? 3 : 4.5)) failures.push(`${found.toFixed(2)} ${element.className || element.tagName}: ${node.data.trim().slice(0, 40)}`);
}
const marks = [['.bl', 'fill'], ['.ring', 'stroke'], ['.ink', 'fill'], ['.hl', 'stroke'], ['.mg', 'stroke'], ['.th.edge', 'stroke'], ['.open:not(div)', 'stroke'], ['.nt', 'stroke']];
for (const [selector, property] of marks) {
  const element = document.querySelector(selector);
  if (!element) { failures.push(`no ${selector} on the page`); continue; }
  const paper = behind(document.body), found = ratio(over(parse(getComputedStyle(element)[property]), paper), paper);
  measured += 1;
  if (found < 3) failures.push(`${found.toFixed(2)} mark ${selector}`);
}
return { measured, failures };
