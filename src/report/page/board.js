// The light board: marks that can be moved, the picture as they stand, and the plan they make. Nothing leaves the page.
(function () {
  'use strict';
  var root = document.getElementById('board');
  var held = document.getElementById('board-data');
  if (!root || !held) return;
  var data = JSON.parse(held.textContent);
  // Positions in thirds of a stop: off, and the ends of the axis.
  var OFF = -15, FIRST = -15, LAST = 18, SLOW_MS = 40, REST_MS = 150;
  var tones = data.tones.map(lightBoard.tone);
  var owns = data.own.map(function (packed) { return { packed: packed, made: null }; });
  function part(id) { return document.getElementById('board-' + id); }

  function stops(value) {
    var shown = Math.abs(value).toFixed(1);
    return (shown === '0.0' ? '' : value > 0 ? '+' : '−') + shown;
  }
  function unit(value) { return Number(Math.abs(value).toFixed(1)) > 1 ? ' stops' : ' stop'; }
  function make(name, into, text, kind) {
    var element = document.createElement(name);
    if (text) element.textContent = text;
    if (kind) element.className = kind;
    into.appendChild(element);
    return element;
  }
  // A power as people note it: "1/8", "1/8 +0.3".
  function power(value) {
    var whole = Math.max(Math.ceil(-value - 0.5 - 1e-9), 0), rest = Math.round((value + whole) * 10) / 10;
    return '1/' + Math.pow(2, whole) + (rest ? ' ' + (rest > 0 ? '+' : '−') + Math.abs(rest).toFixed(1) : '');
  }

  var board, stage, image, context, state, rows, slow = false, coarse = false, waiting = 0, resting = 0;

  function asShot() {
    return {
      lights: board.sources.map(function (source) { return { stops: source.burns ? 0 : null, colour: [1, 1, 1], bare: false, as: null }; }),
      aperture: 0, shutter: 0, iso: 0
    };
  }
  // What the dials make of a light, in stops.
  function exposure(source) { return state.aperture + state.iso + (source.light === null ? state.shutter : 0); }
  function factors() {
    return board.sources.map(function (source, s) {
      var light = state.lights[s];
      if (light.stops === null) return [0, 0, 0];
      return light.colour.map(function (colour, n) {
        return Math.pow(2, light.stops + exposure(source)) * colour * (light.bare ? source.bare[n] : 1);
      });
    });
  }
  // Noted power where the mark stands, stops against full power: by the lighting it was set as, or by its own.
  function powerOf(source, light) {
    if (source.light === null || light.stops === null) return null;
    if (light.as) return light.as.source.power === null ? null : light.as.source.power + light.stops - light.as.stops;
    return source.power === null ? null : source.power + light.stops;
  }
  // What a light's row says of where its mark stands.
  function words(source, light) {
    if (light.stops === null) return 'off';
    var moved = light.stops === 0 && source.burns ? 'as shot' : stops(light.stops) + unit(light.stops);
    var noted = powerOf(source, light), now = noted === null ? '' : power(noted);
    // Another colour is another level, which nobody has measured.
    var level = source.level === null || light.bare || light.as ? '' : 'at ' + stops(source.level + light.stops + exposure(source));
    return [moved, now, level].filter(Boolean).join(', ');
  }
  function mark(dial) {
    var found = board.dials[dial].filter(function (turn) { return turn[1] === state[dial]; })[0];
    return found ? found[0] : '';
  }
  function show() {
    rows.forEach(function (row) {
      var at = row.dial ? Math.round(3 * state[row.dial]) : state.lights[row.source].stops;
      if (!row.dial) at = at === null ? OFF : Math.round(3 * at);
      row.input.value = String(at);
      var text = row.dial ? mark(row.dial) + (state[row.dial] ? ', ' + stops(state[row.dial]) + unit(state[row.dial]) : ', as shot')
        : words(board.sources[row.source], state.lights[row.source]);
      row.output.textContent = text;
      row.input.setAttribute('aria-valuetext', text);
      if (row.bare) row.bare.checked = state.lights[row.source].bare;
    });
    root.dataset.still = 'no';
    clearTimeout(resting);
    if (!waiting) waiting = requestAnimationFrame(paint);
  }

  function paint() {
    waiting = 0;
    if (!stage) return;
    var begun = performance.now(), told;
    coarse = slow;
    told = lightBoard.draw(stage, factors(), image, coarse ? 2 : 1);
    context.putImageData(image, 0, 0);
    slow = performance.now() - begun > (coarse ? SLOW_MS / 4 : SLOW_MS);
    clearTimeout(resting);
    resting = setTimeout(function () { rest(told); }, REST_MS);
  }
  // The marks lie still: draw every pixel, and say in words what is seen.
  function rest(told) {
    if (!stage) return;
    part('copied').textContent = '';
    if (coarse) { told = lightBoard.draw(stage, factors(), image, 1); context.putImageData(image, 0, 0); coarse = false; }
    var changes = [];
    board.sources.forEach(function (source, s) {
      var light = state.lights[s];
      if (light.stops === null ? source.burns : !source.burns || light.stops) {
        changes.push(source.name + ' ' + (light.stops === null ? 'off' : (source.burns ? '' : 'lit at ') + stops(light.stops)));
      }
      if (light.bare) changes.push(source.name + ' without its gel');
    });
    ['aperture', 'shutter', 'iso'].forEach(function (dial) { if (state[dial]) changes.push(mark(dial)); });
    var moved = told.level - board.level;
    var said = changes.length ? 'Lighting ' + board.lighting + ' with ' + changes.join(', ') + (told.unknown > 0.0005 ? ': the known part of the picture stands at ' : ': the picture stands at ') + level(told.level) +
      (isFinite(moved) && Math.abs(moved) >= 0.05 ? ', ' + stops(moved) + unit(moved) + ' against the shot.' : ', as bright as the shot.')
      : 'Lighting ' + board.lighting + ' as shot: the picture stands at ' + level(board.level) + '.';
    if (told.unknown > 0.0005) {
      said += ' Hatched: ' + (told.unknown * 100).toFixed(told.unknown < 0.01 ? 1 : 0) + ' % of it is not known.';
    }
    part('says').textContent = said;
    part('set').setAttribute('aria-label', said);
    part('plan').value = plan();
    root.dataset.still = 'yes';
  }
  function level(value) { return isFinite(value) ? stops(value) + unit(value) + ' against mid-grey' : 'no light at all'; }

  function plan() {
    var lines = ['Plan from ' + data.shoot + ', lighting ' + board.lighting, ['aperture', 'shutter', 'iso'].map(mark).filter(Boolean).join(', ') || board.marked];
    var cautions = [];
    board.sources.forEach(function (source, s) {
      var light = state.lights[s], worn = light.as ? light.as.source.gel : light.bare ? '' : source.gel;
      var gel = worn ? ', gel ' + worn : source.gel ? ', no gel' : '';
      if (source.light === null) {
        if (Math.abs(light.stops) > 0.3) lines.push('ambient: ' + stops(light.stops) + unit(light.stops) + ' against this shoot; wait for it, or move the shutter');
      } else if (light.stops === null) {
        lines.push(source.name + ': off');
      } else if (powerOf(source, light) === null) {
        lines.push(source.name + ': ' + stops(light.stops) + unit(light.stops) + ' against ' + source.against + gel + ' (no power noted)');
      } else {
        var wanted = powerOf(source, light);
        lines.push(source.name + ': ' + power(wanted) + gel);
        if (wanted > 0.05) cautions.push(source.name + ' would need ' + stops(wanted) + unit(wanted) + ' more than 1/1: open the aperture, raise ISO, or move it closer.');
        if (wanted < source.low - 0.05) cautions.push(source.name + ' would be set lower than ' + power(source.low) + ': see its manual, or use a denser modifier or more distance.');
      }
    });
    return lines.concat(cautions).join('\n') + '\n';
  }

  function glyph(into, symbol) {
    var space = 'http://www.w3.org/2000/svg', drawing = document.createElementNS(space, 'svg');
    [['class', 'mk'], ['width', 16], ['height', 16], ['viewBox', '-8 -8 16 16'], ['aria-hidden', 'true']].forEach(function (pair) {
      drawing.setAttribute(pair[0], pair[1]);
    });
    drawing.appendChild(document.createElementNS(space, 'use')).setAttribute('href', '#' + symbol);
    into.appendChild(drawing);
  }
  // The rows of a lighting: its lights, the ambient, the dials.
  function row(name, note, first, last, symbol) {
    var line = make('div', part('rows'), '', 'bdr'), label = make('label', line), id = 'board-row-' + rows.length;
    if (symbol) glyph(label, symbol);
    make('b', label, name);
    if (note) make('span', label, note);
    var lane = make('div', line, '', 'bdl'), input = make('input', lane), output = make('output', line);
    make('i', lane, '', 'was').style.left = 100 * (0 - FIRST) / (LAST - FIRST) + '%';
    input.type = 'range'; input.id = id; input.min = first; input.max = last; input.step = 1;
    input.style.left = 'calc(' + 100 * (first - FIRST) / (LAST - FIRST) + '% - 8px)';
    input.style.width = 'calc(' + 100 * (last - first) / (LAST - FIRST) + '% + 16px)';
    label.htmlFor = id; output.htmlFor = id;
    return { line: line, input: input, output: output };
  }
  function lay() {
    part('rows').textContent = '';
    rows = [];
    board.sources.forEach(function (source, s) {
      var ambient = source.light === null, made = row(source.name, source.zero, ambient ? -12 : OFF, ambient ? 18 : 12, source.mark);
      made.source = s;
      rows.push(made);
      made.input.addEventListener('input', function () {
        var value = Number(made.input.value), light = state.lights[s];
        // Between the lowest step and off there is nothing: whichever side the mark came from, it goes to the other.
        if (!ambient && value < -12) value = light.stops !== null || value === OFF ? OFF : -12;
        light.stops = value === OFF && !ambient ? null : value / 3;
        show();
      });
      if (source.bare) {
        var gel = make('label', made.line, '', 'gel');
        made.bare = make('input', gel);
        made.bare.type = 'checkbox';
        make('span', gel, 'without ' + source.gel);
        made.bare.addEventListener('change', function () { state.lights[s].bare = made.bare.checked; state.lights[s].colour = [1, 1, 1]; state.lights[s].as = null; show(); });
      } else if (source.why) make('span', made.line, 'gel ' + source.gel + ' stays: ' + source.why, 'gel');
    });
    [['aperture', 'moves every light'], ['shutter', 'moves the ambient alone'], ['iso', 'moves every light']].forEach(function (pair) {
      var dial = pair[0], turns = board.dials[dial].filter(function (turn) {
        var third = Math.round(3 * turn[1]);
        return third >= FIRST && third <= LAST;
      });
      // Without an ambient that is known the shutter would seem to do nothing.
      if (dial === 'shutter' && !board.sources.some(function (source) { return source.light === null; })) return;
      if (turns.length < 2) return;
      var third = function (turn) { return Math.round(3 * turn[1]); };
      var made = row(dial === 'iso' ? 'ISO' : dial, pair[1], third(turns[0]), third(turns[turns.length - 1]), '');
      made.dial = dial;
      rows.push(made);
      made.input.addEventListener('input', function () {
        var value = Number(made.input.value);
        state[dial] = turns.reduce(function (best, turn) {
          return Math.abs(3 * turn[1] - value) < Math.abs(3 * best[1] - value) ? turn : best;
        })[1];
        show();
      });
    });
  }

  // Lightings shot with the same camera and settings, which the marks can be set to.
  function others() {
    var list = part('like');
    list.textContent = '';
    make('option', list, 'as shot').value = '';
    data.boards.forEach(function (other, i) {
      var same = other !== board && other.tone === board.tone && other.marked === board.marked;
      var knows = function (board, light) { return board.sources.some(function (source) { return source.light === light; }); };
      var reach = other.sources.every(function (there) { return !there.burns || knows(board, there.light); }) &&
        board.sources.every(function (here) { return !here.burns || knows(other, here.light); });
      if (same && reach) make('option', list, 'as lighting ' + other.lighting).value = String(i);
    });
  }
  function like(other) {
    state = asShot();
    board.sources.forEach(function (here, s) {
      var there = other.sources.filter(function (source) { return source.light === here.light; })[0];
      if (!there) return;
      if (!there.burns) { state.lights[s].stops = null; return; }
      var ratio = there.gain.map(function (gain, n) { return gain / here.gain[n]; });
      var mean = (ratio[0] + ratio[1] + ratio[2]) / 3;
      // A channel without light on either side has no ratio: then the light stays as it was.
      if (!ratio.every(function (r) { return r > 0 && isFinite(r); })) return;
      state.lights[s] = { stops: Math.log2(mean), colour: ratio.map(function (r) { return r / mean; }), bare: false,
        as: { source: there, stops: Math.log2(mean) } };
    });
  }

  function choose(index) {
    clearTimeout(resting);
    board = data.boards[index];
    if (board.level === null) board.level = -Infinity;
    stage = null;
    state = asShot();
    lay();
    others();
    var exact = part('exact');
    exact.textContent = '';
    board.exact.forEach(function (sentence) { make('p', exact, sentence); });
    part('shot-words').textContent = 'lighting ' + board.lighting + ' as shot, ' + board.frame;
    var shot = part('shot');
    shot.alt = 'Lighting ' + board.lighting + ' as shot, ' + board.frame;
    shot.onload = function () {
      var pictures = board.sources.map(function (source) {
        var slot = owns[source.own];
        if (!slot.made) slot.made = lightBoard.own(slot.packed);
        return slot.made;
      });
      var canvas = part('set');
      stage = lightBoard.open(board, shot, tones[board.tone], pictures);
      canvas.width = stage.width; canvas.height = stage.height;
      context = canvas.getContext('2d');
      image = context.createImageData(stage.width, stage.height);
      show();
    };
    shot.src = 'data:image/jpeg;base64,' + board.jpeg;
  }

  part('lighting').addEventListener('change', function () { choose(Number(part('lighting').value)); });
  part('like').addEventListener('change', function () {
    var value = part('like').value;
    if (value === '') state = asShot(); else like(data.boards[Number(value)]);
    show();
  });
  part('back').addEventListener('click', function () { state = asShot(); part('like').value = ''; show(); });
  part('copy').addEventListener('click', function () {
    var text = part('plan');
    text.focus();
    text.select();
    // A page opened from a disk may not reach the clipboard: then the text is selected, to be copied by hand.
    var done = function () { part('copied').textContent = 'copied'; };
    if (navigator.clipboard) navigator.clipboard.writeText(text.value).then(done, function () {});
  });
  document.addEventListener('click', function (event) {
    var link = event.target.closest ? event.target.closest('a[data-board]') : null;
    if (!link) return;
    part('lighting').value = link.dataset.board;
    choose(Number(link.dataset.board));
  });
  root.hidden = false;
  // Pictures are unpacked when the board comes into view, not while the page opens.
  var first = function () { choose(Number(part('lighting').value)); };
  if ('IntersectionObserver' in window) {
    var seen = new IntersectionObserver(function (entries) {
      if (!board && entries.some(function (entry) { return entry.isIntersecting; })) { seen.disconnect(); first(); }
    }, { rootMargin: '600px' });
    seen.observe(root);
  } else first();
})();
