// Contrast of every visible text against what lies behind it (WCAG 2.2, 1.4.3), and of drawn marks against the paper (1.4.11),
// as seen by the eyes named in arguments[0]: colour vision deficiencies after Machado, Oliveira and Fernandes, "A
// Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009, severity 1.0, in linear light
// (matrices from memory; their rows must each sum to 1, so that grey stays grey); "grey" is a copy without colour.
const EYES = {
  all: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protan: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deutan: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
  tritan: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
  grey: [[0.2126, 0.7152, 0.0722], [0.2126, 0.7152, 0.0722], [0.2126, 0.7152, 0.0722]],
};
const eyes = EYES[arguments[0] || 'all'];
const failures = eyes.filter(row => Math.abs(row[0] + row[1] + row[2] - 1) > 1e-5).map(row => `a row sums to ${row}`);
const parse = (text) => { const n = text.match(/[\d.]+/g).map(Number); return n.length > 3 ? n : [...n, 1]; };
const luminance = (colour) => {
  const linear = colour.slice(0, 3).map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
  const seen = eyes.map((row) => Math.min(1, Math.max(0, row.reduce((sum, part, i) => sum + part * linear[i], 0))));
  return 0.2126 * seen[0] + 0.7152 * seen[1] + 0.0722 * seen[2];
};
const over = (top, under) => [0, 1, 2].map((i) => top[i] * top[3] + under[i] * (1 - top[3]));
const ratio = (a, b) => { const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
const behind = (element) => {
  const layers = [];
  for (let e = element; e; e = e.parentElement) layers.push(parse(getComputedStyle(e).backgroundColor));
  return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255]);
};
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
