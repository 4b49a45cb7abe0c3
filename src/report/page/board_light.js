// The light board's arithmetic: sets a lighting anew from its lights' own pictures, as src/relight does, step by step.
var lightBoard = (function () {
  'use strict';
  var NOISE = 6, CLIPPING = 240, CLIPPED = 254, HATCH = [210, 128, 60, 128], STROKE = 3, OUT = 32768;
  var srgb = new Float32Array(256);
  for (var code = 0; code < 256; code++) {
    var z = code / 255;
    srgb[code] = z <= 0.04045 ? z / 12.92 : Math.pow((z + 0.055) / 1.055, 2.4);
  }

  function bytes(text) {
    var raw = atob(text), out = new Uint8Array(raw.length);
    for (var i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
    return out;
  }
  // Light of a code value, and the code value of a light, evenly from none to that of 255.
  function tone(light) {
    var codes = new Uint8Array(OUT + 1), top = light[255], above = 0;
    for (var i = 0; i <= OUT; i++) {
      var wanted = top * i / OUT;
      while (above < 255 && light[above] < wanted) above++;
      codes[i] = above && wanted - light[above - 1] < light[above] - wanted ? above - 1 : above;
    }
    return { light: Float32Array.from(light), codes: codes, scale: OUT / top };
  }
  // A light's own picture: linear light by tile and channel, and which tiles are missing.
  function own(packed) {
    var raw = bytes(packed.tiles), tiles = raw.length / 6;
    var light = new Float32Array(3 * tiles), missing = new Uint8Array(tiles);
    for (var i = 0; i < 3 * tiles; i++) {
      var value = raw[2 * i] + 256 * raw[2 * i + 1];
      if (value === 65535) missing[Math.floor(i / 3)] = 1; else light[i] = value * packed.scale;
    }
    return { columns: packed.columns, rows: packed.rows, light: light, missing: missing };
  }
  // The picture on the grid of a shot: between the four tiles around each place, those that are known.
  function seen(picture, place) {
    var fw = place.frame[0], fh = place.frame[1], light = new Float32Array(3 * fw * fh), missing = new Uint8Array(fw * fh);
    var c = 1 - place.turn * place.turn / 2, s = place.turn, size = c * c + s * s;
    for (var y = 0; y < fh; y++) for (var x = 0; x < fw; x++) {
      var dx = (x - (fw - 1) / 2 - place.shift[0]) / place.scale, dy = (y - (fh - 1) / 2 - place.shift[1]) / place.scale;
      var u = (c * dx + s * dy) / size + (picture.columns - 1) / 2, v = (c * dy - s * dx) / size + (picture.rows - 1) / 2;
      var at = y * fw + x;
      if (u < -0.5 || v < -0.5 || u > picture.columns - 0.5 || v > picture.rows - 0.5) { missing[at] = 1; continue; }
      u = Math.min(Math.max(u, 0), picture.columns - 1);
      v = Math.min(Math.max(v, 0), picture.rows - 1);
      if (picture.missing[Math.floor(v + 0.5) * picture.columns + Math.floor(u + 0.5)]) { missing[at] = 1; continue; }
      var l = Math.floor(u), t = Math.floor(v), fx = u - l, fy = v - t, sum = 0;
      for (var k = 0; k < 4; k++) {
        var column = Math.min(l + (k & 1), picture.columns - 1), row = Math.min(t + (k >> 1), picture.rows - 1);
        var tile = row * picture.columns + column, weight = (k & 1 ? fx : 1 - fx) * (k >> 1 ? fy : 1 - fy);
        if (picture.missing[tile]) continue;
        sum += weight;
        for (var n = 0; n < 3; n++) light[3 * at + n] += weight * picture.light[3 * tile + n];
      }
      for (n = 0; n < 3; n++) light[3 * at + n] /= sum;
    }
    return { light: light, missing: missing };
  }

  // One lighting, opened: its shot's code values and everything that does not change while lights are moved.
  function open(board, shot, table, pictures) {
    var canvas = document.createElement('canvas'), width = shot.naturalWidth, height = shot.naturalHeight;
    canvas.width = width; canvas.height = height;
    var context = canvas.getContext('2d', { willReadFrequently: true });
    context.drawImage(shot, 0, 0);
    var codes = context.getImageData(0, 0, width, height).data;
    var fw = board.place.frame[0], fh = board.place.frame[1], spots = board.sources.map(function (source, i) { return seen(pictures[i], board.place); });
    var mean = new Float32Array(3 * fw * fh), count = new Float32Array(fw * fh);
    for (var y = 0; y < height; y++) {
      var line = Math.floor(y * fh / height) * fw;
      for (var x = 0; x < width; x++) {
        var p = 4 * (y * width + x), tile = line + Math.floor(x * fw / width);
        for (var n = 0; n < 3; n++) mean[3 * tile + n] += table.light[codes[p + n]];
        count[tile]++;
      }
    }
    for (var i = 0; i < mean.length; i++) mean[i] /= count[Math.floor(i / 3)];
    return { board: board, width: width, height: height, codes: codes, table: table, pictures: spots, fw: fw, fh: fh,
      mean: mean, detail: null, columns: between(width, fw), rows: between(height, fh) };
  }
  function between(pixels, tiles) {
    var low = new Int32Array(pixels), high = new Int32Array(pixels), part = new Float32Array(pixels), near = new Int32Array(pixels);
    for (var i = 0; i < pixels; i++) {
      var at = Math.min(Math.max((i + 0.5) / pixels * tiles - 0.5, 0), tiles - 1);
      low[i] = Math.floor(at); high[i] = Math.min(low[i] + 1, tiles - 1); part[i] = at - low[i];
      near[i] = part[i] < 0.5 ? low[i] : high[i];
    }
    return { low: low, high: high, part: part, near: near };
  }
  // A row of tiles, between the two rows around a row of pixels.
  function rowOf(field, stage, y, into) {
    var a = 3 * stage.fw * stage.rows.low[y], b = 3 * stage.fw * stage.rows.high[y], part = stage.rows.part[y];
    for (var i = 0; i < 3 * stage.fw; i++) into[i] = field[a + i] + (field[b + i] - field[a + i]) * part;
  }
  // What the shot shows of its surroundings' light, for light that is added.
  function detail(stage) {
    if (stage.detail) return stage.detail;
    var out = new Float32Array(3 * stage.width * stage.height), row = new Float32Array(3 * stage.fw);
    var light = stage.table.light, noise = light[NOISE], cols = stage.columns;
    for (var y = 0; y < stage.height; y++) {
      rowOf(stage.mean, stage, y, row);
      for (var x = 0; x < stage.width; x++) {
        var l = 3 * cols.low[x], r = 3 * cols.high[x], part = cols.part[x], at = y * stage.width + x;
        for (var n = 0; n < 3; n++) {
          var own = light[stage.codes[4 * at + n]], mean = row[l + n] + (row[r + n] - row[l + n]) * part;
          out[3 * at + n] = (own + noise) / ((mean === mean ? mean : own) + noise);
        }
      }
    }
    stage.detail = out;
    return out;
  }

  // What setting the lights anew does at each tile: a factor on what burned, light added, and what is not known.
  function fields(stage, factors) {
    var sources = stage.board.sources, tiles = stage.fw * stage.fh, even = null, alike = true, adds = false;
    sources.forEach(function (source, s) {
      if (!source.burns) { adds = adds || factors[s].some(function (f) { return f !== 0; }); return; }
      if (even === null) even = factors[s][0];
      alike = alike && factors[s].every(function (f) { return f === even; });
    });
    var factor = new Float32Array(3 * tiles), added = new Float32Array(3 * tiles), asShot = new Float32Array(3 * tiles);
    var unknown = new Uint8Array(tiles), holes = 0;
    for (var t = 0; t < tiles; t++) for (var s = 0; s < sources.length; s++) {
      var source = sources[s];
      if (stage.pictures[s].missing[t] && (source.burns ? !alike : factors[s].some(function (f) { return f !== 0; }))) {
        unknown[t] = 1; holes++;
        break;
      }
    }
    for (var i = 0; i < 3 * tiles; i++) {
      var n = i % 3, shot = 0, set = 0, more = 0;
      for (s = 0; s < sources.length; s++) {
        var light = stage.pictures[s].light[i] * sources[s].gain[n];
        if (sources[s].burns) { shot += light; set += light * factors[s][n]; } else more += light * factors[s][n];
      }
      factor[i] = alike && even !== null ? even : shot > 0 ? set / shot : 1;
      added[i] = more; asShot[i] = shot;
    }
    if (holes) [factor, added, asShot].forEach(function (field) { fill(field, unknown, stage); });
    return { factor: factor, added: added, asShot: asShot, unknown: unknown, holes: holes, adds: adds, even: alike && !adds && even === 1 };
  }
  // Beside what is not known the nearest known tiles hold on, so that nothing bleeds out of a hole.
  function fill(field, unknown, stage) {
    for (var t = 0; t < unknown.length; t++) {
      if (!unknown[t]) continue;
      var x = t % stage.fw, y = Math.floor(t / stage.fw), count = 0, sums = [0, 0, 0];
      for (var v = Math.max(y - 1, 0); v <= Math.min(y + 1, stage.fh - 1); v++)
        for (var u = Math.max(x - 1, 0); u <= Math.min(x + 1, stage.fw - 1); u++) {
          var other = v * stage.fw + u;
          if (unknown[other]) continue;
          count++;
          for (var n = 0; n < 3; n++) sums[n] += field[3 * other + n];
        }
      for (n = 0; n < 3 && count; n++) field[3 * t + n] = sums[n] / count;
    }
  }

  // The picture; `step` 2 draws every second pixel of every second row, for slow machines while a mark moves.
  function draw(stage, factors, image, step) {
    var f = fields(stage, factors), out = image.data, codes = stage.codes, width = stage.width, height = stage.height;
    var light = stage.table.light, back = stage.table.codes, scale = stage.table.scale, cols = stage.columns;
    var unknown = 0, level = 0, before = 0, drawn = 0;
    var sharp = f.adds ? detail(stage) : null;
    var factor = new Float32Array(3 * stage.fw), added = new Float32Array(3 * stage.fw), asShot = new Float32Array(3 * stage.fw);
    for (var y = 0; y < height; y += step) {
      if (!f.even) {
        rowOf(f.factor, stage, y, factor);
        rowOf(f.asShot, stage, y, asShot);
        if (sharp) rowOf(f.added, stage, y, added);
      }
      var nearRow = stage.rows.near[y] * stage.fw;
      for (var x = 0; x < width; x += step) {
        var at = y * width + x, p = 4 * at;
        drawn++;
        if (f.holes && f.unknown[nearRow + cols.near[x]]) {
          unknown++;
          out[p] = out[p + 1] = out[p + 2] = HATCH[Math.floor((x + y) / STROKE) % 4];
        } else if (f.even) {
          out[p] = codes[p]; out[p + 1] = codes[p + 1]; out[p + 2] = codes[p + 2];
        } else {
          var l = 3 * cols.low[x], r = 3 * cols.high[x], part = cols.part[x];
          for (var n = 0; n < 3; n++) {
            var code = codes[p + n], own = light[code];
            if (code > CLIPPING) {
              var known = asShot[l + n] + (asShot[r + n] - asShot[l + n]) * part;
              own += Math.min((code - CLIPPING) / (CLIPPED - CLIPPING), 1) * Math.max(known - own, 0);
            }
            own *= factor[l + n] + (factor[r + n] - factor[l + n]) * part;
            if (sharp) own += (added[l + n] + (added[r + n] - added[l + n]) * part) * sharp[3 * at + n];
            // Held at the top before it becomes an integer: six stops of three kinds are more than its bits.
            out[p + n] = back[Math.min(own * scale + 0.5, OUT) | 0];
          }
        }
        out[p + 3] = 255;
        // The level is that of what is known, against the same part of the shot.
        if (!(f.holes && f.unknown[nearRow + cols.near[x]])) {
          level += 0.2126 * srgb[out[p]] + 0.7152 * srgb[out[p + 1]] + 0.0722 * srgb[out[p + 2]];
          before += 0.2126 * srgb[codes[p]] + 0.7152 * srgb[codes[p + 1]] + 0.0722 * srgb[codes[p + 2]];
        }
        if (step === 2) spread(out, p, width, x, y, height);
      }
    }
    return { unknown: unknown / drawn, level: stage.board.level + Math.log2(level / before) };
  }
  function spread(out, p, width, x, y, height) {
    var right = x + 1 < width, down = y + 1 < height;
    for (var n = 0; n < 4; n++) {
      if (right) out[p + 4 + n] = out[p + n];
      if (down) out[p + 4 * width + n] = out[p + n];
      if (right && down) out[p + 4 * width + 4 + n] = out[p + n];
    }
  }

  return { tone: tone, own: own, open: open, draw: draw };
})();
