// Shows where a figure comes from, opens all rungs at once, and nothing else. Without it every link still leads to its note.
(function () {
  'use strict';
  var line = document.getElementById('src');
  var shown = null;
  function note(target) {
    var link = target && target.closest ? target.closest('a.from') : null;
    return link ? link.getAttribute('aria-describedby').split(' ').map(function (id) { return document.getElementById(id).textContent; }).join(' ') : '';
  }
  function show(event) {
    var found = note(event.target);
    if (!found) return;
    shown = event.target.closest('a.from');
    line.textContent = found;
    line.hidden = false;
  }
  function hide(event) {
    if (event && event.type === 'mouseout' && shown === document.activeElement) return;
    line.hidden = true;
    shown = null;
  }
  document.addEventListener('focusin', function (event) { if (note(event.target)) show(event); else hide(); });
  document.addEventListener('focusout', hide);
  document.addEventListener('mouseover', show);
  document.addEventListener('mouseout', function (event) { if (note(event.target)) hide(event); });
  document.addEventListener('click', function (event) {
    if (note(event.target)) { event.preventDefault(); show(event); }
  });
  document.addEventListener('keydown', function (event) { if (event.key === 'Escape') hide(); });

  // A link to what is folded away opens it, in browsers too that do not do so by themselves.
  function reveal() {
    var at = document.getElementById(location.hash.slice(1));
    var folded = at && at.closest('details:not([open])');
    if (!folded) return;
    for (; folded; folded = folded.parentElement.closest('details:not([open])')) folded.open = true;
    at.scrollIntoView();
  }
  addEventListener('hashchange', reveal);
  reveal();

  var all = document.getElementById('all');
  if (all) {
    var rungs = document.querySelectorAll('.rung > details');
    all.parentNode.hidden = false;
    all.addEventListener('click', function () {
      var open = all.dataset.open !== 'yes';
      rungs.forEach(function (rung) { rung.open = open; });
      all.dataset.open = open ? 'yes' : 'no';
      all.textContent = open ? 'Close every rung' : 'Open every rung';
    });
  }
})();
